//! The audio thread's side of what hosts and windows set: all of it of one moment.

use crate::host::params::FirstjackParams;
use crate::host::stored;
use crate::sound::circuit::Circuit;
use crate::sound::exchange::Taken;
use crate::sound::music::Music;
use crate::sound::snapshot::Snapshot;

/// What is heard: the circuit with its values, and what is known of the music.
#[derive(Default)]
pub(crate) struct Moment {
    circuit: Taken<Circuit>,
    music: Taken<Music>,
}

/// What has come, and what of it is new.
pub(crate) struct News {
    pub snapshot: Snapshot,
    pub has_new_circuit: bool,
    pub has_new_music: bool,
}

impl Moment {
    /// The circuit; nothing before the first time.
    pub fn circuit(&self) -> Option<&Circuit> {
        self.circuit.current()
    }

    /// What of the music was loaded; nothing before the first time.
    pub const fn music(&self) -> &Taken<Music> {
        &self.music
    }

    /// Comes to what there is now; nothing while that is being written: what was before then goes on. Wait-free; nothing is allocated
    /// or freed.
    pub fn follow(&mut self, params: &FirstjackParams) -> Option<News> {
        let (circuits, musics) = (&params.circuit.exchange, &params.music.exchange);
        let now = || (stored::snapshot(params), circuits.number(), musics.number());
        let (snapshot, circuit, music) = params.whole.look(now)?;
        // If something newer has come since, it is left until its values are read with it.
        let is_here = circuits.fetch(circuit, &mut self.circuit) & musics.fetch(music, &mut self.music);
        is_here.then(|| News {
            snapshot,
            has_new_circuit: self.circuit.advance(circuit),
            has_new_music: self.music.advance(music),
        })
    }
}

#[cfg(all(test, feature = "editor"))]
mod tests {
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::thread;

    use nice_assert_no_alloc::assert_no_alloc;
    use nice_plug::prelude::*;

    use super::*;
    use crate::host::preset;
    use crate::host::quantities::held;
    use crate::sound::values::Values;

    const PRESETS: [&str; 4] = [
        preset::COURTYARD,
        include_str!("../../../presets/passive.toml"),
        include_str!("../../../presets/blend.toml"),
        include_str!("../../../presets/magnetic-single.toml"),
    ];

    /// As a host's loading or a window's edit does it: values first, one after the other, then the circuit.
    fn write(params: &FirstjackParams, (text, circuit, values): &(String, Circuit, Values)) {
        params.whole.write(|| {
            let mut values = *values;
            for (param, value) in held(params, &mut values) {
                // SAFETY: the parameters live as long as `params`.
                unsafe { param.as_ptr()._internal_set_normalized_value(param.preview_normalized(*value)) };
            }
            thread::yield_now();
            params.circuit.put(text.clone(), circuit.clone());
        });
    }

    /// Values as parameters hold them, after a way through what a host sees of them.
    fn kept(text: &str) -> (String, Circuit, Values) {
        let (circuit, values) = preset::read(text).unwrap();
        let params = FirstjackParams::default();
        let kept = (text.to_owned(), circuit, values);
        write(&params, &kept);
        (kept.0, kept.1, stored::snapshot(&params).values)
    }

    /// Two write, one saves and one hears, as fast as they can: nobody meets the values of one preset with the circuit of another.
    #[test]
    fn threads_see_all_or_nothing() {
        let (params, all) = (FirstjackParams::default(), PRESETS.map(kept));
        write(&params, &all[0]);
        let done = AtomicBool::new(false);
        let rounds = if cfg!(debug_assertions) { 2_000 } else { 20_000 };
        thread::scope(|scope| {
            let audio = scope.spawn(|| {
                let (mut moment, mut news) = (Moment::default(), 0u32);
                while !done.load(Ordering::SeqCst) {
                    let Some(now) = assert_no_alloc(|| moment.follow(&params)) else { continue };
                    let heard = (moment.circuit().unwrap(), &now.snapshot.values);
                    assert!(
                        all.iter().any(|(_, circuit, values)| (circuit, values) == heard),
                        "a mix is heard"
                    );
                    news += u32::from(now.has_new_circuit);
                }
                news
            });
            let saver = scope.spawn(|| {
                while !done.load(Ordering::SeqCst) {
                    let saved =
                        params.whole.read(|| (params.circuit.text().0, stored::snapshot(&params).values));
                    assert!(
                        all.iter().any(|(text, _, values)| (text, values) == (&saved.0, &saved.1)),
                        "a mix is saved"
                    );
                }
            });
            let writers = [1, 3].map(|step| {
                let (params, all) = (&params, &all);
                scope.spawn(move || (0..rounds).for_each(|round| write(params, &all[round * step % 4])))
            });
            writers.into_iter().for_each(|writer| writer.join().unwrap());
            done.store(true, Ordering::SeqCst);
            saver.join().unwrap();
            assert!(audio.join().unwrap() > 10, "it did hear them");
        });
    }

    /// While something is written, a block has what was before, and afterwards all of it.
    #[test]
    fn what_is_being_written_is_not_heard_yet() {
        let (params, mut moment) = (FirstjackParams::default(), Moment::default());
        assert!(moment.follow(&params).is_some_and(|news| news.has_new_circuit && news.has_new_music));
        let (circuit, values) = preset::read(PRESETS[1]).unwrap();
        params.whole.write(|| {
            params.circuit.put(PRESETS[1].to_owned(), circuit.clone());
            assert!(moment.follow(&params).is_none());
        });
        assert_ne!(moment.circuit(), Some(&circuit));
        write(&params, &(PRESETS[1].to_owned(), circuit.clone(), values));
        assert!(moment.follow(&params).is_some_and(|news| news.has_new_circuit && !news.has_new_music));
        assert_eq!(moment.circuit(), Some(&circuit));
    }
}
