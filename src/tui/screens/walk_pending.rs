//! A defect being entered: a sign's letter and a part's digit in either order, then the extent. It takes keys and says
//! what is still asked; it records nothing and knows no head.

use crate::round::entry::Applied;
use crate::rules::model::{ExtentIx, PartIx, RuleSet, SignIx};
use crate::tui::keys::Key;

/// What has been entered so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pending {
    sign: Option<SignIx>,
    part: Option<PartIx>,
    /// Whether the part came first, so that the last piece can be taken back.
    part_first: bool,
    /// The line of the shown list that arrows stand on; none until an arrow is struck, so that Enter alone is harmless.
    at: Option<usize>,
    /// Who applied a finish, where the sign asks.
    pub applied: Applied,
    /// Whether the inspector is in doubt.
    pub doubtful: bool,
}

/// What is still asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asking {
    /// A sign that can be seen on the part.
    Sign(Vec<SignIx>),
    /// A part that the sign can be seen on.
    Part(Vec<PartIx>),
    /// An extent that the sign can have.
    Extent(Vec<ExtentIx>),
    /// Nothing: one part and one extent are all the sign has, and Enter says yes.
    Yes,
}

/// A defect entered in full.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Whole {
    /// What.
    pub sign: SignIx,
    /// Where.
    pub part: PartIx,
    /// How much.
    pub extent: ExtentIx,
    /// Who applied the finish, where the sign asks.
    pub applied: Option<Applied>,
    /// Whether the inspector is in doubt.
    pub doubtful: bool,
}

/// What a key led to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taken {
    /// The key means nothing here.
    No,
    /// Something changed.
    Yes,
    /// The defect is complete.
    Whole(Whole),
    /// The key cannot be meant; a sentence says why.
    Wrong(String),
}

/// The letter of an extent: the first letter of its word. Two extents with one letter go by the list.
pub fn extent_key(set: &RuleSet, extent: ExtentIx) -> Option<char> {
    let first = |e: ExtentIx| set.extent_at(e).and_then(|w| w.id.chars().next());
    let own = first(extent)?;
    let all = 0..u8::try_from(set.extents.len()).unwrap_or(u8::MAX);
    (all.map(ExtentIx).filter(|e| first(*e) == Some(own)).count() == 1).then_some(own)
}

/// The digit of a part, from 1.
pub fn part_key(part: PartIx) -> Option<char> {
    char::from_digit(u32::from(part.0) + 1, 10).filter(|_| part.0 < 8)
}

fn part_of_digit(set: &RuleSet, digit: char) -> Option<PartIx> {
    let part = PartIx(u8::try_from(digit.to_digit(10)?.checked_sub(1)?).ok()?);
    set.part_at(part).filter(|_| part.0 < 8).map(|_| part)
}

impl Pending {
    /// Starts with a key, if a defect can start with it.
    pub fn start(key: Key, set: &RuleSet) -> Option<Self> {
        let Key::Char(c) = key else { return None };
        let mut it =
            Self { sign: None, part: None, part_first: false, at: None, applied: Applied::Field, doubtful: false };
        match (eye_sign(set, c), part_of_digit(set, c)) {
            (Some(sign), _) => it.sign = Some(sign),
            (None, Some(part)) => {
                it.part = Some(part);
                it.part_first = true;
            }
            (None, None) => return None,
        }
        Some(it)
    }

    /// Starts with a sign that was chosen from a list.
    pub const fn of_sign(sign: SignIx) -> Self {
        Self { sign: Some(sign), part: None, part_first: false, at: None, applied: Applied::Field, doubtful: false }
    }

    /// The sign, once it was entered.
    pub const fn sign(&self) -> Option<SignIx> {
        self.sign
    }

    /// The part, once it was entered or where the sign has only one.
    pub fn part(&self, set: &RuleSet) -> Option<PartIx> {
        let sole = || match set.sign_at(self.sign?)?.parts.as_slice() {
            [part] => Some(*part),
            _ => None,
        };
        self.part.or_else(sole)
    }

    /// The line of the list that arrows stand on.
    pub const fn at(&self) -> Option<usize> {
        self.at
    }

    /// What is still asked.
    pub fn asking(&self, set: &RuleSet) -> Asking {
        let Some(sign) = self.sign.and_then(|s| set.sign_at(s)) else {
            let on_part = |s: &&(SignIx, &crate::rules::model::Sign)| {
                s.1.key.is_some() && self.part.is_none_or(|p| s.1.parts.contains(&p))
            };
            return Asking::Sign(set.eye_signs().collect::<Vec<_>>().iter().filter(on_part).map(|s| s.0).collect());
        };
        if self.part(set).is_none() {
            Asking::Part(sign.parts.clone())
        } else if sign.parts.len() == 1 && sign.extents.len() == 1 {
            Asking::Yes
        } else {
            Asking::Extent(sign.extents.clone())
        }
    }

    /// Takes a key.
    pub fn take(&mut self, key: Key, set: &RuleSet) -> Taken {
        match key {
            Key::Char(c) => self.take_char(c, set),
            Key::Up | Key::Left => self.step(false, set),
            Key::Down | Key::Right => self.step(true, set),
            Key::Enter => self.enter(set),
            _ => Taken::No,
        }
    }

    /// Takes back the last piece; whether any is left comes back.
    pub fn back(&mut self, set: &RuleSet) -> bool {
        self.at = None;
        if self.sign.is_some() && self.part.is_some() && !self.part_first {
            self.part = None;
        } else if self.sign.is_some() {
            self.sign = None;
        } else {
            self.part = None;
        }
        // With the sign gone, its only part is gone with it.
        self.sign.is_some() || self.part(set).is_some()
    }

    fn take_char(&mut self, c: char, set: &RuleSet) -> Taken {
        if let Asking::Extent(extents) = self.asking(set) {
            let all = (0..u8::try_from(set.extents.len()).unwrap_or(u8::MAX)).map(ExtentIx);
            if let Some(extent) = all.into_iter().find(|e| extent_key(set, *e) == Some(c)) {
                return if extents.contains(&extent) { self.whole(extent, set) } else { self.no_extent(extent, set) };
            }
        }
        if let Some(sign) = eye_sign(set, c) {
            return self.take_sign(sign, set);
        }
        if let Some(part) = part_of_digit(set, c) {
            return self.take_part(part, set);
        }
        match c {
            '0' => self.doubtful = !self.doubtful,
            '9' if self.asks_applied(set) => {
                self.applied = match self.applied {
                    Applied::Field => Applied::Factory,
                    Applied::Factory => Applied::Unknown,
                    Applied::Unknown => Applied::Field,
                }
            }
            _ => return Taken::No,
        }
        Taken::Yes
    }

    /// Whether it matters who applied the finish.
    pub fn asks_applied(&self, set: &RuleSet) -> bool {
        self.sign.and_then(|s| set.sign_at(s)).is_some_and(|s| s.ask_applied)
    }

    fn take_sign(&mut self, sign: SignIx, set: &RuleSet) -> Taken {
        self.at = None;
        let Some(declared) = set.sign_at(sign) else { return Taken::No };
        self.sign = Some(sign);
        match self.part {
            Some(part) if !declared.parts.contains(&part) => {
                self.part = None;
                self.part_first = false;
                Taken::Wrong(not_on(set, sign, part))
            }
            Some(_) => self.perhaps_whole(set),
            None => Taken::Yes,
        }
    }

    fn take_part(&mut self, part: PartIx, set: &RuleSet) -> Taken {
        self.at = None;
        match self.sign {
            Some(sign) if set.sign_at(sign).is_some_and(|s| !s.parts.contains(&part)) => {
                Taken::Wrong(not_on(set, sign, part))
            }
            Some(_) => {
                self.part = Some(part);
                self.perhaps_whole(set)
            }
            None => {
                self.part = Some(part);
                self.part_first = true;
                Taken::Yes
            }
        }
    }

    /// A sign with one extent needs none, but only where the part was a choice: one letter never writes.
    fn perhaps_whole(&mut self, set: &RuleSet) -> Taken {
        match self.asking(set) {
            Asking::Extent(extents) if extents.len() == 1 => {
                extents.first().map_or(Taken::Yes, |extent| self.whole(*extent, set))
            }
            _ => Taken::Yes,
        }
    }

    fn whole(&self, extent: ExtentIx, set: &RuleSet) -> Taken {
        let (Some(sign), Some(part)) = (self.sign, self.part(set)) else { return Taken::No };
        let applied = self.asks_applied(set).then_some(self.applied);
        Taken::Whole(Whole { sign, part, extent, applied, doubtful: self.doubtful })
    }

    fn no_extent(&self, extent: ExtentIx, set: &RuleSet) -> Taken {
        let name = set.extent_at(extent).map_or("", |w| w.name.as_str());
        let sign = self.sign.and_then(|s| set.sign_at(s)).map_or("", |s| s.name.as_str());
        Taken::Wrong(format!("{sign} has no extent '{name}': take one of those shown"))
    }

    fn step(&mut self, down: bool, set: &RuleSet) -> Taken {
        let count = match self.asking(set) {
            Asking::Sign(list) => list.len(),
            Asking::Part(list) => list.len(),
            Asking::Extent(list) => list.len(),
            Asking::Yes => 0,
        };
        let last = count.saturating_sub(1);
        self.at = match (self.at, down) {
            _ if count == 0 => None,
            (None, true) => Some(0),
            (None, false) => Some(last),
            (Some(at), true) => Some((at + 1).min(last)),
            (Some(at), false) => Some(at.saturating_sub(1)),
        };
        Taken::Yes
    }

    fn enter(&mut self, set: &RuleSet) -> Taken {
        let at = self.at;
        match self.asking(set) {
            Asking::Yes => {
                let sole = self.sign.and_then(|s| set.sign_at(s)).and_then(|s| s.extents.first().copied());
                sole.map_or(Taken::No, |extent| self.whole(extent, set))
            }
            Asking::Sign(list) => match at.and_then(|at| list.get(at)) {
                Some(sign) => self.take_sign(*sign, set),
                None => Taken::No,
            },
            Asking::Part(list) => match at.and_then(|at| list.get(at)) {
                Some(part) => self.take_part(*part, set),
                None => Taken::No,
            },
            Asking::Extent(list) => match at.and_then(|at| list.get(at)) {
                Some(extent) => self.whole(*extent, set),
                None => Taken::No,
            },
        }
    }
}

fn eye_sign(set: &RuleSet, c: char) -> Option<SignIx> {
    let sign = set.sign_by_key(c)?;
    set.eye_signs().any(|(ix, _)| ix == sign).then_some(sign)
}

fn not_on(set: &RuleSet, sign: SignIx, part: PartIx) -> String {
    let name = set.sign_at(sign).map_or("", |s| s.name.as_str());
    let part = set.part_at(part).map_or("", |w| w.name.as_str());
    format!("'{name}' is not looked for on the {part}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::builtin;

    fn struck(written: &str, set: &RuleSet) -> (Option<Pending>, Vec<Taken>) {
        let mut pending: Option<Pending> = None;
        let mut taken = Vec::new();
        for c in written.chars() {
            let key = if c == '>' {
                Key::Down
            } else if c == '!' {
                Key::Enter
            } else {
                Key::Char(c)
            };
            match &mut pending {
                Some(pending) => taken.push(pending.take(key, set)),
                None => pending = Pending::start(key, set),
            }
        }
        (pending, taken)
    }

    fn words(taken: Option<&Taken>, set: &RuleSet) -> String {
        match taken {
            Some(Taken::Whole(w)) => format!(
                "{} {} {}{}{}",
                set.sign_at(w.sign).unwrap().id,
                set.part_at(w.part).unwrap().id,
                set.extent_at(w.extent).unwrap().id,
                w.applied.map_or(String::new(), |a| format!(" {a}")),
                if w.doubtful { " doubtful" } else { "" },
            ),
            Some(Taken::Wrong(why)) => why.clone(),
            Some(Taken::Yes) => "yes".to_owned(),
            Some(Taken::No) => "no".to_owned(),
            None => "pending".to_owned(),
        }
    }

    #[test]
    fn sign_and_part_come_in_either_order_and_the_extent_completes() {
        let set = builtin::load("nfpa25-2023").unwrap();
        for (keys, last) in [
            ("p1t", "paint element trace field"),
            ("1pt", "paint element trace field"),
            ("c4l", "corrosion frame light"),
            ("4ch", "corrosion frame heavy"),
            ("2ll", "leak seal light"),
            ("l2l", "leak seal light"),
            ("p1", "yes"),
            ("1p", "yes"),
            ("p", "pending"),
            // Its only part is not asked.
            ("ff", "fluid-loss element full"),
            ("tl", "turned whole light"),
            ("bh", "blocked deflector heavy"),
            // One part and one extent: Enter says yes, no letter does.
            ("s", "pending"),
            ("sf", "yes"),
            ("s!", "strap whole full"),
            ("8s!", "strap whole full"),
            ("r!", "recalled whole full"),
            // The list, by arrows and Enter; Enter alone means nothing.
            ("p1!", "no"),
            ("p1>>!", "paint element light field"),
            ("p>!t", "paint element trace field"),
            ("1>>>!", "yes"),
            // Change of mind before the extent.
            ("cp1t", "paint element trace field"),
            ("p14t", "paint frame trace field"),
            ("p1ct", "corrosion element trace"),
            // What it does not have.
            ("lt", "yes"),
            ("l2f", "leak has no extent 'full': take one of those shown"),
            ("l1", "'leak' is not looked for on the heat element"),
            ("1l", "'leak' is not looked for on the heat element"),
            // Toggles.
            ("p90t", "yes"),
            ("p901t", "paint element trace factory doubtful"),
            ("p991t", "paint element trace unknown"),
            ("p9991t", "paint element trace field"),
            ("c9", "no"),
            ("pw", "no"),
        ] {
            let (_, taken) = struck(keys, &set);
            assert_eq!(words(taken.last(), &set), last, "{keys}");
        }
    }

    #[test]
    fn backspace_takes_back_the_last_piece_whatever_its_order() {
        let set = builtin::load("nfpa25-2023").unwrap();
        for (keys, sign, part) in [("p1", true, false), ("1p", false, true), ("p", false, false), ("1", false, false)] {
            let mut pending = struck(keys, &set).0.unwrap();
            let left = pending.back(&set);
            assert_eq!((pending.sign.is_some(), pending.part.is_some(), left), (sign, part, sign || part), "{keys}");
        }
        // The only part of a sign goes with the sign.
        let mut pending = struck("f", &set).0.unwrap();
        assert!(!pending.back(&set));
    }
}
