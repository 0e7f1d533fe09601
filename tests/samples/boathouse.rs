//! The boathouse: a round has begun.

use super::script::Script;

pub fn script() -> Script {
    let mut it = Script::new(20);
    it.round("2026", "ines", "2026-11-23T08:55:00-05:00");
    it.begin("Ines Tidewell", "PT-0118", "Heads of the boat hall and the club room, from the floor.");
    it
}
