//! Drawing a sample, by chance or by hand; and making a recorded draw again.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Serialize;

use super::super::session::{Done, Failure, Outcome, Session, many};
use super::tell::{Told, record};
use super::{Draw, find, open, refuse, said};
use crate::diag::plain;
use crate::record::desk::Desk;
use crate::round::act::ranges;
use crate::round::entry::{Drawn, DrawnBy, Marks, Pick, What};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Eligible, Lot, Repeated, Why};
use crate::round::state::{EntryIx, State};
use crate::trade::address::Heads;
use crate::tui::text;

/// Heads that may not be drawn, for one reason.
#[derive(Debug, Serialize)]
struct RefusedFacts {
    why: Why,
    said: String,
    clause: String,
    heads: usize,
    which: Vec<Heads>,
}

/// A draw that is not recorded yet.
struct Plan {
    drawn: Drawn,
    refused: Vec<RefusedFacts>,
    /// Kinds that must stand in the sample and have no eligible head.
    missing: Vec<String>,
    /// How many were wanted.
    wanted: u32,
}

/// Draws.
pub(super) fn run(file: &Path, it: &Draw, session: &mut Session<'_, '_>) -> Done {
    if it.dry_run {
        let desk = session.read(file)?;
        let lot = find(desk.state(), &it.lot, file)?;
        let draws = it.seed.map(|seed| lot.draws_by(desk.state(), seed)).unwrap_or_default();
        if !draws.is_empty() {
            return again(file, desk.state(), &lot, &draws, session);
        }
        let plan = plan(desk.state(), &lot, it, file, session)?;
        return show(file, desk.state(), &plan, session);
    }
    let mut desk = open(file, session)?;
    let lot = find(desk.state(), &it.lot, file)?;
    let plan = plan(desk.state(), &lot, it, file, session)?;
    let headline = match plan.drawn.seed {
        Some(seed) => format!("Drawn: {} for lot {}, seed {seed}", many(plan.drawn.picks.len(), "head"), lot.id),
        None => format!("Drawn: {} for lot {} by hand", many(plan.drawn.picks.len(), "head"), lot.id),
    };
    let mut lines = picks(&plan.drawn);
    lines.push(eligible_words(&plan));
    lines.extend(plan.refused.iter().map(refused_words));
    lines.extend(short_words(&plan));
    if let Some(seed) = plan.drawn.seed {
        let shown = file.display();
        lines.push(format!("to draw it again: headround lot {shown} draw {} --seed {seed} --dry-run", lot.id));
    }
    let more = serde_json::json!({ "refused": plan.refused, "missing_kinds": plan.missing });
    let told = Told { headline, lots: vec![lot.id], lines, more };
    let drafts = vec![(What::Drawn(Box::new(plan.drawn)), Marks::default())];
    record(file, &mut desk, drafts, |_: &Desk| told, session)
}

fn plan(state: &State, lot: &Lot, it: &Draw, file: &Path, session: &Session<'_, '_>) -> Result<Plan, Failure> {
    if lot.outcome.stage.is_decided() {
        let message = format!("lot '{}' is decided already: {}", lot.id, lot.outcome.stage.label());
        return Err(refuse("decided", file, message, "form another lot for another test"));
    }
    let eligible = lots::eligible(state, lot, it.unseen);
    let by_hand = !it.heads.is_empty();
    let wanted = lots::wanted(state, lot);
    let (heads, missing, want, seed) = if by_hand {
        let heads = by_hand_heads(state, lot, it, file)?;
        let n = u32::try_from(heads.len()).unwrap_or(u32::MAX);
        (heads, Vec::new(), n, None)
    } else {
        let want = it.more.unwrap_or(wanted.heads);
        if want == 0 {
            return Err(enough(lot, file));
        }
        if let Some(message) = it.seed.and_then(|seed| lot.seed_taken(state, seed)) {
            let help = "leave '--seed' out, or name another; '--dry-run' with this one makes its draw again";
            return Err(refuse("seed-taken", file, message, help));
        }
        let seed = it.seed.unwrap_or_else(|| chance(state, lot, session));
        let choice = lots::draw(state, &eligible.heads, &wanted.kinds, want, seed);
        (choice.heads, choice.missing, want, Some(seed))
    };
    if heads.is_empty() {
        let groups = grouped(state, &eligible);
        let words: Vec<String> = groups.iter().map(refused_words).collect();
        let message = format!("no head of lot '{}' may be drawn: {}", lot.id, words.join("; "));
        let help = "walk the lot's heads first, or let those be drawn that nobody has looked at: '--unseen'";
        return Err(refuse("none-eligible", file, message, help));
    }
    let name = |ix| state.register().kind(ix).map_or_else(String::new, |k| k.id.clone());
    let pick = |(n, head): (usize, &HeadIx)| {
        let kind = state.layout().head(*head).map(|h| name(h.kind))?;
        Some(Pick { head: state.address(*head)?, kind, tag: lot.next_tag(n) })
    };
    let drawn = Drawn {
        lot: lot.id.clone(),
        way: if by_hand { DrawnBy::ByHand } else { DrawnBy::Random },
        seed,
        eligible: u32::try_from(eligible.heads.len()).unwrap_or(u32::MAX),
        asked: lot.outcome.asked.heads,
        unseen: it.unseen,
        picks: heads.iter().enumerate().filter_map(pick).collect(),
        note: said(it.note.as_ref()),
    };
    Ok(Plan {
        drawn,
        refused: grouped(state, &eligible),
        missing: missing.into_iter().map(name).collect(),
        wanted: want,
    })
}

fn enough(lot: &Lot, file: &Path) -> Failure {
    let help = "to draw others all the same: '--more N'; to draw anew, take the draw back first: 'undo' on the walk";
    if lot.outcome.asked.heads == 0 {
        let message = "the rule set names no size of a sample".to_owned();
        return refuse("no-size", file, message, "ask the laboratory and the authority, and say it with '--more N'");
    }
    let message =
        format!("lot '{}' has all {} that its sample takes", lot.id, many(lot.outcome.asked.heads as usize, "head"));
    refuse("drawn-already", file, message, help)
}

/// A seed of six figures, easy to read out, that drew nothing for the lot yet.
fn chance(state: &State, lot: &Lot, session: &Session<'_, '_>) -> u32 {
    let mut seed = u32::try_from(session.clock().random() % 900_000).unwrap_or(0) + 100_000;
    // A lot has fewer draws than there are seeds, so that one is free.
    while !lot.draws_by(state, seed).is_empty() {
        seed = seed.wrapping_add(1);
    }
    seed
}

/// Heads that a person chose; one that is refused stops it.
fn by_hand_heads(state: &State, lot: &Lot, it: &Draw, file: &Path) -> Result<Vec<HeadIx>, Failure> {
    if said(it.note.as_ref()).is_none() {
        return Err(refuse("missing-option", file, "it does not say why these".to_owned(), "add '--note WHY'"));
    }
    let mut heads = Vec::new();
    for address in &it.heads {
        let Some(head) = state.layout().find(address) else {
            let message = format!("the site has no head '{address}'");
            return Err(refuse("unknown-head", file, message, "an address is AREA/LINE.PLACE, such as hall/1.2"));
        };
        if let Some(refused) = lots::refusal(state, lot, head, it.unseen) {
            let clause = if refused.clause.is_empty() { String::new() } else { format!(" ({})", refused.clause) };
            let message = format!("'{address}' may not be drawn: {}{clause}", refused.words);
            let help = match refused.why {
                Why::NotSeen => "look at it first, or add '--unseen'",
                Why::Defect => "replace it, or have it tested by itself outside the sample",
                _ => "choose another head",
            };
            return Err(refuse("refused", file, message, help));
        }
        if !heads.contains(&head) {
            heads.push(head);
        }
    }
    Ok(heads)
}

/// The refused heads by reason, the most first.
fn grouped(state: &State, eligible: &Eligible) -> Vec<RefusedFacts> {
    let mut groups: BTreeMap<(Why, &str, &str), Vec<HeadIx>> = BTreeMap::new();
    for one in &eligible.refused {
        groups.entry((one.why, &one.words, &one.clause)).or_default().push(one.head);
    }
    let facts = |((why, words, clause), heads): ((Why, &str, &str), Vec<HeadIx>)| RefusedFacts {
        why,
        said: words.to_owned(),
        clause: clause.to_owned(),
        heads: heads.len(),
        which: ranges(state, &heads),
    };
    groups.into_iter().map(facts).collect()
}

fn refused_words(it: &RefusedFacts) -> String {
    let which: Vec<String> = it.which.iter().map(ToString::to_string).collect();
    let clause = if it.clause.is_empty() { String::new() } else { format!(" ({})", it.clause) };
    format!("refused {} ({}): {}{clause}", many(it.heads, "head"), which.join(", "), plain(&it.said))
}

fn picks(drawn: &Drawn) -> Vec<String> {
    drawn.picks.iter().map(|p| format!("{}: {}, {}", p.tag, p.head, plain(&p.kind))).collect()
}

fn eligible_words(plan: &Plan) -> String {
    let refused: usize = plan.refused.iter().map(|r| r.heads).sum();
    format!("{} eligible, {refused} refused; the rule set asks for {}", plan.drawn.eligible, plan.drawn.asked)
}

/// What the draw lacks.
fn short_words(plan: &Plan) -> Vec<String> {
    let mut lines = Vec::new();
    let got = u32::try_from(plan.drawn.picks.len()).unwrap_or(u32::MAX);
    if got < plan.wanted {
        lines.push(format!("{} wanted and only {got} eligible: {} are lacking", plan.wanted, plan.wanted - got));
    }
    if !plan.missing.is_empty() {
        let kinds = plan.missing.join(", ");
        lines.push(format!("no eligible head is of {kinds}, and every kind of the lot stands in its sample"));
    }
    lines
}

/// Shows a draw without recording it.
fn show(file: &Path, state: &State, plan: &Plan, session: &mut Session<'_, '_>) -> Done {
    let drawn = &plan.drawn;
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": file.display().to_string(),
            "lot": drawn.lot,
            "dry_run": true,
            "seed": drawn.seed,
            "eligible": drawn.eligible,
            "asked": drawn.asked,
            "unseen": drawn.unseen,
            "picks": drawn.picks,
            "refused": plan.refused,
            "missing_kinds": plan.missing,
        }))?;
        return Ok(Outcome::Fine);
    }
    let seed = drawn.seed.map_or("by hand".to_owned(), |s| format!("seed {s}"));
    session.say(&format!("{}: lot {}, {seed}. Nothing is recorded.", state.register().site.name, drawn.lot))?;
    let mut lines = picks(drawn);
    lines.push(eligible_words(plan));
    lines.extend(plan.refused.iter().map(refused_words));
    lines.extend(short_words(plan));
    say_all(&lines, session)
}

fn say_all(lines: &[String], session: &mut Session<'_, '_>) -> Done {
    let columns = session.around.columns.map_or(super::super::COLUMNS, |c| c.clamp(60, 120));
    for line in lines {
        for (n, part) in text::wrap(line, columns - 4).iter().enumerate() {
            session.say(&format!("{}{part}", if n == 0 { "  " } else { "    " }))?;
        }
    }
    Ok(Outcome::Fine)
}

/// Makes the recorded draws of a seed again.
fn again(file: &Path, state: &State, lot: &Lot, draws: &[EntryIx], session: &mut Session<'_, '_>) -> Done {
    let made = |ix: &EntryIx| Some((lots::repeat(state, lot, *ix)?, lots::drawn(state, *ix)?));
    let Some(all) = draws.iter().map(made).collect::<Option<Vec<_>>>() else {
        let message = format!("the draw of lot '{}' cannot be made again", lot.id);
        return Err(refuse("not-repeatable", file, message, "look at the lot's entries: headround check FILE"));
    };
    let same = all.iter().all(|(repeated, _)| repeated.is_same());
    if session.global.json {
        let facts = all.iter().map(|(repeated, (_, drawn))| {
            serde_json::json!({
                "file": file.display().to_string(),
                "lot": lot.id,
                "dry_run": true,
                "seed": drawn.seed,
                "eligible": repeated.eligible.heads.len(),
                "asked": drawn.asked,
                "unseen": drawn.unseen,
                "recorded": repeated.recorded,
                "again": repeated.again,
                "same": repeated.is_same(),
                "refused": grouped(state, &repeated.eligible),
            })
        });
        let mut facts = facts.collect::<Vec<_>>().into_iter();
        let mut first = facts.next().unwrap_or_default();
        if let Some(map) = first.as_object_mut() {
            map.insert("further".to_owned(), facts.collect());
        }
        session.say_json(&first)?;
        return Ok(Outcome::of(!same));
    }
    for (repeated, (entry, drawn)) in &all {
        let seed = drawn.seed.map_or(String::new(), |s| format!(", seed {s}"));
        let on = entry.at.date_naive();
        let lot = &lot.id;
        session
            .say(&format!("Lot {lot}{seed}: the draw of {on} by {}, from the record as it stood then.", entry.by))?;
        let mut lines = compared(repeated, drawn);
        lines.push(format!(
            "{} eligible, as it stood then; the entry says {}",
            repeated.eligible.heads.len(),
            drawn.eligible
        ));
        lines.extend(grouped(state, &repeated.eligible).iter().map(refused_words));
        lines.push(if repeated.is_same() {
            "The same heads come out in the same order.".to_owned()
        } else {
            "OTHER HEADS COME OUT than those recorded: the register, the rule set or earlier entries are not what they were.".to_owned()
        });
        say_all(&lines, session)?;
    }
    Ok(Outcome::of(!same))
}

fn compared(repeated: &Repeated, drawn: &Drawn) -> Vec<String> {
    let row = |(n, address): (usize, &crate::trade::address::Address)| {
        let pick = drawn.picks.get(n);
        let recorded = pick.map_or_else(|| "nothing".to_owned(), |p| format!("{}: {}", p.tag, p.head));
        if pick.is_some_and(|p| p.head == *address) { recorded } else { format!("{address}; recorded: {recorded}") }
    };
    repeated.again.iter().enumerate().map(row).collect()
}
