//! What each link of a chain adds.

use super::{A1_HZ, close_to, told};
use crate::support::circuit::{capacitor, divider, loss_db, parallel};

/// A tuner with a small blocking capacitor in parallel with an amplifier that has another: what would be lost at the jack without the
/// amplifier is not what the tuner would hear.
#[test]
fn without_the_box_that_is_listened_to() {
    let setup = "chain = [{ box = 'tuner', input = '470k', blocking = '1n', thru = 'before' }, { box = 'amplifier', input = '1M', \
                 blocking = '10n' }]";
    let told = told("guitarron", "pickup = { capacitance = '1.5 nF' }", setup);
    let source = capacitor(1.5e-9, A1_HZ);
    let (tuner, amplifier) = (470e3 + capacitor(1e-9, A1_HZ), 1e6 + capacitor(10e-9, A1_HZ));
    let heard = divider(capacitor(10e-9, A1_HZ), 1e6);
    let total = loss_db(divider(source, parallel(tuner, amplifier)) * heard);
    let only_tuner = loss_db(divider(source, tuner));
    let only_amplifier = loss_db(divider(source, amplifier) * heard);
    let links = told["chain"].as_array().unwrap();
    close_to(&links[0]["loss_alone_db"], only_tuner, 1e-5);
    close_to(&links[0]["saved_without_db"], total - only_amplifier, 1e-5);
    close_to(&links[1]["loss_alone_db"], only_amplifier, 1e-5);
    close_to(&links[1]["saved_without_db"], total - only_tuner, 1e-5);
}
