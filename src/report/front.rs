//! The front of the summary: whose it is, how it stands in a few lines, who inspected what by which rules.

use super::phrases::{capital, counted, day, heads, listed, order, said, sentence};
use super::summary::{Block, Pair, Scene, Section, Tone, fact};
use crate::round::act::obstacles;
use crate::round::rounds::Round;
use crate::round::rulings::{self, Standing};
use crate::round::words::{obstacle_words, set_word};
use crate::rules::model::Confidence;

/// What stands before the first section.
pub(super) fn head(scene: &Scene<'_>, advisories: usize) -> Vec<Block> {
    let mut blocks = vec![whose(scene)];
    blocks.extend(draft(scene));
    if !scene.late.is_empty() {
        blocks.push(Block::Banner {
            tone: Tone::Notice,
            facts: vec![fact(
                "late.banner",
                format!(
                    "After the sign-off more was recorded ({}). What follows takes account of it; it is listed under \
                     'Amendments after sign-off'.",
                    counted(scene.late.len(), "entry", "entries")
                ),
            )],
        });
    }
    blocks.extend(super::lots::banner(scene));
    blocks.push(in_short(scene, advisories));
    blocks
}

fn whose(scene: &Scene<'_>) -> Block {
    let site = &scene.state.register().site;
    let mut pairs = vec![Pair::one("Site", "site.name", scene.site_name())];
    if !site.place.is_empty() {
        pairs.push(Pair::one("Address", "site.place", said(&site.place)));
    }
    if let Some(owner) = site.owner.as_deref().filter(|o| !o.is_empty()) {
        pairs.push(Pair::one("Owner", "site.owner", said(owner)));
    }
    if let Some(round) = scene.round() {
        let purpose = round.begin.as_ref().map(|b| said(&b.purpose)).filter(|p| !p.is_empty());
        let purpose = purpose.map_or(String::new(), |p| format!(": {p}"));
        pairs.push(Pair::one("Round", "round.name", format!("{}{purpose}", said(&round.name))));
        pairs.push(Pair::one("Day of round", "round.date", day(round.date())));
        if let Some((_, signoff)) = &round.signoff {
            let licence = licence(&signoff.licence);
            let text = format!("by {}{licence}, on {}", said(&signoff.name), day(signoff.date));
            pairs.push(Pair::one("Signed", "signed", text));
        }
    }
    pairs.push(Pair::one("Summary made", "made", day(scene.on)));
    Block::Pairs { pairs }
}

/// `, licence PT-118`, or nothing.
pub(super) fn licence(licence: &str) -> String {
    let licence = said(licence);
    if licence.is_empty() { String::new() } else { format!(", licence {licence}") }
}

fn draft(scene: &Scene<'_>) -> Option<Block> {
    if scene.signed() {
        return None;
    }
    let Some(round) = scene.round() else {
        let text = "DRAFT. No round has begun at this site: nothing was inspected.";
        return Some(Block::Banner { tone: Tone::Draft, facts: vec![fact("draft", text)] });
    };
    let text = format!("DRAFT. Nobody has signed round {}: what follows can still change.", said(&round.name));
    let mut facts = vec![fact("draft", text)];
    let stands = obstacles(scene.state);
    if !stands.is_clear() {
        facts.push(fact("draft.obstacles", format!("In the way of a signature: {}.", obstacle_words(&stands))));
    }
    Some(Block::Banner { tone: Tone::Draft, facts })
}

fn in_short(scene: &Scene<'_>, advisories: usize) -> Block {
    let counts = scene.state.counts();
    if counts.heads == 0 {
        let text = "The register holds no heads: there was nothing to inspect.";
        return Block::Pairs { pairs: vec![Pair::one("Coverage", "short.coverage", text)] };
    }
    let mut pairs = Vec::new();
    let mut carried: Vec<_> = super::impairments::unverified(scene).into_iter().map(|(row, _)| row.ix).collect();
    carried.dedup();
    let carried = carried.len();
    let impaired = match counts.impaired {
        0 if counts.answered() == 0 => "not known: no head was inspected".to_owned(),
        0 if carried > 0 => "none found in this round".to_owned(),
        0 => "none is open in this record".to_owned(),
        n => format!("{} out of order: act now, see the next section", heads(n)),
    };
    let impaired = match carried {
        0 => impaired,
        n => format!("{impaired}; of earlier rounds {} not looked at since: see the next section", heads(n)),
    };
    pairs.push(Pair::one("Impairments", "short.impaired", impaired));
    let orders: Vec<String> =
        super::actions::tally(scene).into_iter().map(|(r, n)| format!("{} {n}", order(r))).collect();
    let asked = if orders.is_empty() {
        "no head has an open finding that asks for anything".to_owned()
    } else {
        format!("{} (heads, each under the strongest of its rulings)", capital(&orders.join(", ")))
    };
    pairs.push(Pair::one("To do", "short.orders", asked));
    let looked = format!("{} of {} looked at and judged", counts.seen, heads(counts.heads));
    pairs.push(Pair::one("Coverage", "short.coverage", looked));
    let mut not: Vec<String> = Vec::new();
    for (n, words) in [
        (counts.unsure, "could not be judged"),
        (counts.unreached, "not reached"),
        (counts.unseen, "without any record"),
    ] {
        if n > 0 {
            not.push(format!("{n} {words}"));
        }
    }
    let not = if not.is_empty() {
        "no head of the register; for what an inspection of heads leaves out see 'Limits of this inspection'".to_owned()
    } else {
        format!("{}. Nothing is known about their condition.", listed(&not))
    };
    pairs.push(Pair::one("Not inspected", "short.not", not));
    let carried = || scene.rows.iter().flat_map(|r| &r.carried);
    let (total, gone) = (carried().count(), carried().filter(|c| c.state == Standing::VerifiedFixed).count());
    if total > 0 {
        let text = format!(
            "{} left open, of which {gone} looked at again and gone; see 'Findings of earlier rounds'",
            counted(total, "finding", "findings")
        );
        pairs.push(Pair::one("Earlier rounds", "short.carried", text));
    }
    for (label, id, text) in [
        ("Tests", "short.lots", super::lots::in_short(scene)),
        ("Due by age", "short.due", super::lots_due::in_short(scene)),
    ] {
        pairs.extend(text.map(|text| Pair::one(label, id, text)));
    }
    if let Some(text) = super::spares::in_short(scene) {
        pairs.push(Pair::one("Spares", "short.spares", text));
    }
    if advisories > 0 {
        let alone = match counts.advisory {
            0 => String::new(),
            n => format!("; nothing else is open on {}", heads(n)),
        };
        let text = format!("{}, kept apart{alone}; see 'Advisories'", counted(advisories, "point", "points"));
        pairs.push(Pair::one("Advisories", "short.advisories", text));
    }
    Block::Pairs { pairs }
}

/// Who inspected what by which rules.
pub(super) fn section(scene: &Scene<'_>) -> Section {
    let mut section = Section::new("round", "The round");
    let mut pairs = Vec::new();
    if let Some(round) = scene.round() {
        let mut scopes: Vec<String> = Vec::new();
        let mut facts = Vec::new();
        let mut named: Vec<&str> = Vec::new();
        for (n, (by, begin)) in round.inspectors.iter().enumerate() {
            named.push(by);
            let text = format!("{}{}, from {}", said(&begin.inspector), licence(&begin.licence), day(begin.date));
            facts.push(fact(format!("inspector.{}", n + 1), text));
            let scope = said(&begin.scope);
            if !scope.is_empty() && !scopes.contains(&scope) {
                scopes.push(scope);
            }
        }
        if !facts.is_empty() {
            pairs.push(Pair { label: "Inspected by", facts });
        }
        let others: Vec<String> =
            round.people.iter().filter(|p| !named.contains(&&***p)).map(|p| scene.person(p)).collect();
        if !others.is_empty() {
            pairs.push(Pair::one("Also recorded", "round.others", listed(&others)));
        }
        if scopes.is_empty() {
            let text = "not stated; the register's areas are listed under 'Counts'";
            pairs.push(Pair::one("Scope", "round.scope", text));
        } else {
            // Each inspector's own words, a line each: they are sentences as often as not.
            let facts = scopes
                .into_iter()
                .enumerate()
                .map(|(n, scope)| {
                    let id = if n == 0 { "round.scope".to_owned() } else { format!("round.scope.{}", n + 1) };
                    fact(id, scope)
                })
                .collect();
            pairs.push(Pair { label: "Scope", facts });
        }
        if let Some(text) = times(scene) {
            pairs.push(Pair::one("Recorded", "round.times", text));
        }
    } else {
        section.para("round.none", "No round has begun at this site.");
    }
    let set = scene.set();
    let mut adopted = vec![fact("rules.title", format!("{} ({})", said(&set.title), said(&set.name)))];
    adopted.push(fact("rules.edition", format!("Edition: {}", said(&set.edition))));
    if !set.extends.is_empty() {
        let bases: Vec<String> = set.extends.iter().map(|s| said(s)).collect();
        adopted.push(fact("rules.extends", format!("It builds on {}.", listed(&bases))));
    }
    if let Some(text) = walked_under(scene) {
        adopted.push(fact("rules.walked", text));
    }
    pairs.push(Pair { label: "Adopted rules", facts: adopted });
    pairs.push(Pair::one("How sure", "rules.confidence", confidence(scene)));
    section.blocks.push(Block::Pairs { pairs });
    section
}

/// Where the set that judges, the one the round was begun under and the one the site names are not the same.
fn walked_under(scene: &Scene<'_>) -> Option<String> {
    let judging = scene.state.rules();
    let site = &scene.state.register().site.rules;
    let begun = scene.round().and_then(Round::rules)?;
    let (begun_word, site_word) = (said(&set_word(begun)), said(&set_word(site)));
    if begun == judging && judging == site {
        None
    } else if begun == judging {
        Some(format!("The round was walked under this set. The site names {site_word} now."))
    } else if scene.signed() {
        Some(format!(
            "The round was walked under {begun_word}, which was not at hand: rulings may be others than those signed for."
        ))
    } else {
        Some(format!("The round was begun under {begun_word}; until it is begun anew it cannot be signed."))
    }
}

/// First and last entry, and the offset of the clocks.
fn times(scene: &Scene<'_>) -> Option<String> {
    let mut offsets: Vec<String> = Vec::new();
    let (mut first, mut last) = (None, None);
    for (_, entry) in rulings::standing(scene.state).filter(|(_, e)| !scene.late.contains(&e.id)) {
        first = first.or(Some(entry.at));
        last = Some(entry.at);
        let offset = format!("UTC{}", entry.at.format("%:z"));
        if !offsets.contains(&offset) && offsets.len() < 8 {
            offsets.push(offset);
        }
    }
    let (first, last) = (first?, last?);
    let until = if first.date_naive() == last.date_naive() {
        last.format("%H:%M").to_string()
    } else {
        super::phrases::moment(last)
    };
    Some(format!("{} to {until}, local time ({})", super::phrases::moment(first), offsets.join(", ")))
}

/// How far the clauses that this summary quotes can be relied on.
fn confidence(scene: &Scene<'_>) -> String {
    let rules = super::record::spoken(scene);
    if rules.is_empty() {
        return "This summary quotes no clause for a head. The adopted code and the authority decide.".to_owned();
    }
    let by_mark = |marks: Vec<Confidence>| -> String {
        let parts: Vec<String> = Confidence::ALL
            .iter()
            .map(|c| (c, marks.iter().filter(|m| *m == c).count()))
            .filter(|(_, n)| *n > 0)
            .map(|(c, n)| format!("{n} {}", c.means().replace(';', ",")))
            .collect();
        parts.join("; ")
    };
    let classes: Vec<Confidence> = rules.iter().filter_map(|r| r.class_confidence).collect();
    let of_classes = if classes.is_empty() {
        String::new()
    } else {
        format!(" Of the classes that {} of them give: {}.", classes.len(), by_mark(classes))
    };
    sentence(&format!(
        "The rules quoted here are paraphrased. Of {}, clause and ruling by origin: {}.{of_classes} Each is marked under 'Rules that were applied'. \
         The text of the adopted code and the authority decide",
        counted(rules.len(), "rule", "rules"),
        by_mark(rules.iter().map(|r| r.confidence).collect())
    ))
}
