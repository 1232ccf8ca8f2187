//! How large a circuit may be, and what follows from it for all that is kept on the stack: responses, their roots and filters are
//! computed on the audio thread too.

/// Parts that store energy in the largest chain, capacitances across the pickup's terminals excepted.
pub(crate) const MOST_PARTS: usize = 8;

/// The same of one pickup: a coil, its winding's capacitance, a tone capacitor.
const PICKUP_PARTS: usize = 3;

/// Highest degree of a polynomial: the parts of the largest chain and of two pickups, the capacitance across their common terminals,
/// and one in hand.
pub(crate) const MOST_ORDER: usize = MOST_PARTS + 2 * PICKUP_PARTS + 1 + 1;

/// Zeros, or poles, of a change: those of one response and the others of the other one.
pub(crate) const MOST_ROOTS: usize = 2 * MOST_ORDER;

/// Arms of one pickup: the source, what is across it, tone, two of a volume pot, a mixing resistor, the other pickup, and what is
/// across the jack.
const PICKUP_ARMS: usize = 8;

/// Arms of a ladder. A part of a chain brings three at most (a transformer: its winding, its primary and what it reflects), and there is
/// one in hand for each.
pub(crate) const MOST_ARMS: usize = 4 * MOST_PARTS + PICKUP_ARMS;
