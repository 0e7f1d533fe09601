//! The judge: what a rule set says about a sign on a head, as a look-up in its table. It keeps no entries and knows no
//! addresses; what several findings on one head amount to is the round's concern.

use std::collections::HashMap;
use std::sync::Arc;

use super::facts::{Facts, Recalled};
pub use super::model::Sighting;
use super::model::{Class, RuleIx, RuleSet, Ruling, Seen, SignIx};
use super::table::{Outcome, standing_signs};
use crate::trade::kind::Kind;
use crate::trade::register::{Area, Recall};

/// A head's make-up and surroundings, as the judge remembers them.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub struct Profile(u32);

/// What is ruled, with a handle on the reasons.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Judgement {
    /// What must happen.
    pub ruling: Ruling,
    /// The weight of the finding; `None`: no finding.
    pub class: Option<Class>,
    reasons: u32,
}

#[derive(Clone, Copy, Debug)]
struct Remembered {
    standing: Judgement,
    unsure: Judgement,
}

/// A rule set at work on one site.
#[derive(Clone, Debug)]
pub struct Judge {
    set: Arc<RuleSet>,
    /// By number, trimmed and in capitals: the years it is recalled for.
    recalls: HashMap<String, Vec<Option<(i32, i32)>>>,
    known: HashMap<Facts, Profile>,
    profiles: Vec<Remembered>,
    /// Where each sign's cells start: one row of `signs` numbers a profile.
    starts: Vec<u32>,
    signs: usize,
    outcomes: Vec<Outcome>,
    joined: HashMap<Box<[RuleIx]>, u32>,
    not_judged: u32,
}

impl Judge {
    /// A judge by this set, with the site's own recalled numbers beside the set's.
    #[must_use]
    pub fn new(set: Arc<RuleSet>, site_recalls: &[Recall]) -> Self {
        let mut recalls: HashMap<String, Vec<Option<(i32, i32)>>> = HashMap::new();
        for recall in set.recalled.iter().chain(site_recalls) {
            recalls.entry(number(&recall.number)).or_default().push(recall.made);
        }
        let outcomes = set.table.outcomes.clone();
        let joined = outcomes
            .iter()
            .enumerate()
            .filter_map(|(i, o)| u32::try_from(i).ok().map(|i| (o.rules.clone(), i)))
            .collect();
        let signs = set.signs.len();
        let mut it = Self {
            set,
            recalls,
            known: HashMap::new(),
            profiles: Vec::new(),
            starts: Vec::new(),
            signs,
            outcomes,
            joined,
            not_judged: 0,
        };
        it.not_judged = it.doubt(&Facts::plain());
        it
    }

    /// The rule set.
    #[must_use]
    pub const fn set(&self) -> &Arc<RuleSet> {
        &self.set
    }

    /// The profile of a head of this kind in this area; the same facts give the same profile.
    pub fn profile(&mut self, kind: &Kind, area: &Area) -> Profile {
        let facts = self.facts(kind, area);
        self.remember(facts)
    }

    /// What rules may ask about a head of this kind in this area.
    #[must_use]
    pub fn facts(&self, kind: &Kind, area: &Area) -> Facts {
        Facts::of(kind, area, self.set.ceiling(kind, area), self.recalled(kind))
    }

    /// The profile of facts.
    pub(crate) fn remember(&mut self, facts: Facts) -> Profile {
        if let Some(known) = self.known.get(&facts) {
            return *known;
        }
        let profile = Profile(u32::try_from(self.profiles.len()).unwrap_or(u32::MAX));
        let table = Arc::clone(&self.set);
        for number in 0..self.signs {
            let sign = SignIx(u8::try_from(number).unwrap_or(u8::MAX));
            self.starts.push(table.table.start(sign, &facts));
        }
        let spoken: Vec<RuleIx> = standing_signs(&table.signs)
            .filter_map(|(ix, _)| self.alone(ix, &facts))
            .flat_map(|outcome| outcome.rules.to_vec())
            .collect();
        let standing = self.intern(spoken);
        let unsure = self.doubt(&facts);
        self.profiles.push(Remembered { standing: self.judgement(standing), unsure: self.judgement(unsure) });
        self.known.insert(facts, profile);
        profile
    }

    /// Whether a kind's identification number is recalled, by the set or by the site.
    #[must_use]
    pub fn recalled(&self, kind: &Kind) -> Recalled {
        let Some(lists) = kind.number.as_ref().and_then(|n| self.recalls.get(&number(n))) else { return Recalled::No };
        lists
            .iter()
            .map(|made| match (made, kind.made) {
                (None, _) => Recalled::Yes,
                (Some(_), None) => Recalled::Perhaps,
                (Some((from, to)), Some(year)) if (*from..=*to).contains(&year.year) => Recalled::Yes,
                (Some(_), Some(_)) => Recalled::No,
            })
            // `perhaps` stands last in its list, and a certain recall outweighs a possible one.
            .max_by_key(|r| match r {
                Recalled::No => 0,
                Recalled::Perhaps => 1,
                Recalled::Yes => 2,
            })
            .unwrap_or(Recalled::No)
    }

    /// The outcome of a sign that has one part and one extent.
    fn alone(&self, sign: SignIx, facts: &Facts) -> Option<&Outcome> {
        let declared = self.set.sign_at(sign)?;
        let (part, extent) = (*declared.parts.first()?, *declared.extents.first()?);
        let start = self.set.table.start(sign, facts);
        let at = self.set.table.outcome(start, Sighting { sign, part, extent, applied: None })?;
        self.outcomes.get(usize::from(at))
    }

    fn doubt(&self, facts: &Facts) -> u32 {
        let sign = self.set.signs.iter().position(|s| s.seen == Seen::Doubt).and_then(|i| u8::try_from(i).ok());
        sign.and_then(|i| self.alone(SignIx(i), facts)).and_then(|o| self.joined.get(&o.rules)).copied().unwrap_or(0)
    }

    fn intern(&mut self, spoken: Vec<RuleIx>) -> u32 {
        let outcome = Outcome::join(spoken, &self.set.rules);
        if let Some(known) = self.joined.get(&outcome.rules) {
            return *known;
        }
        let at = u32::try_from(self.outcomes.len()).unwrap_or(0);
        self.joined.insert(outcome.rules.clone(), at);
        self.outcomes.push(outcome);
        at
    }

    #[inline]
    fn judgement(&self, at: u32) -> Judgement {
        match self.outcomes.get(at as usize) {
            Some(outcome) => Judgement { ruling: outcome.ruling, class: outcome.class, reasons: at },
            None => self.keep(),
        }
    }

    /// What is ruled on a sighting. A part or an extent that the sign does not have cannot be judged: [`Ruling::Look`].
    #[must_use]
    pub fn judge(&self, profile: Profile, s: Sighting) -> Judgement {
        let row = (profile.0 as usize).saturating_mul(self.signs).saturating_add(usize::from(s.sign.0));
        let found = match self.starts.get(row) {
            Some(start) if usize::from(s.sign.0) < self.signs => self.set.table.outcome(*start, s),
            _ => None,
        };
        self.judgement(found.map_or(self.not_judged, u32::from))
    }

    /// What the register alone says about a head.
    #[must_use]
    pub fn standing(&self, profile: Profile) -> Judgement {
        self.profiles.get(profile.0 as usize).map_or_else(|| self.keep(), |p| p.standing)
    }

    /// What is ruled on a head that was in sight and could not be judged.
    #[must_use]
    pub fn unsure(&self, profile: Profile) -> Judgement {
        self.profiles.get(profile.0 as usize).map_or_else(|| self.judgement(self.not_judged), |p| p.unsure)
    }

    /// What is ruled on a head that a failed test of its lot condemns; no rule of the walk spoke.
    #[must_use]
    pub const fn condemned(&self, class: Option<Class>) -> Judgement {
        Judgement { ruling: Ruling::Replace, class, reasons: u32::MAX }
    }

    /// Every rule that spoke, strongest first.
    #[must_use]
    pub fn reasons(&self, j: Judgement) -> &[RuleIx] {
        self.outcomes.get(j.reasons as usize).map_or(&[], |o| &o.rules)
    }

    /// Nothing need be done, and no rule had anything to say.
    #[must_use]
    pub const fn keep(&self) -> Judgement {
        Judgement { ruling: Ruling::Keep, class: None, reasons: 0 }
    }
}

fn number(text: &str) -> String {
    text.trim().to_uppercase()
}
