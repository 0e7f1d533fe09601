//! Forming lots: of heads that are named, or of those that fall due.

use std::path::Path;

use super::super::cabinet::unknown;
use super::super::rulings::area_index;
use super::super::session::{Done, Failure, Session, many};
use super::tell::{Told, record};
use super::{Form, open, refuse, said};
use crate::diag::plain;
use crate::round::act::ranges;
use crate::round::due::{self, DueList};
use crate::round::entry::{Marks, NewLot, What};
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Divide, Lot, Proposal};
use crate::round::state::State;
use crate::trade::address::AreaId;

/// The most months that a span has: everything that falls due at all.
const EVER: &str = "200 years";

/// Forms them.
pub(super) fn run(file: &Path, it: &Form, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let today = session.today();
    let state = desk.state();
    let all = lots::lots(state);
    let mut lines = Vec::new();
    let new: Vec<NewLot> = if it.apart.is_empty() {
        let ever = crate::trade::measure::Span::parse(EVER).unwrap_or(it.within);
        let list = due::due(state, &all, today, ever);
        vec![named(state, &all, &list, it, file)?]
    } else {
        let list = due::due(state, &all, today, it.within);
        let taken: Vec<&AreaId> = all.iter().map(|l| &l.id).collect();
        let divide: Vec<Divide> = it.apart.iter().copied().flatten().collect();
        let proposed = lots::propose(state, &list, &divide, &taken);
        let (chosen, left) = chosen(proposed, it, file)?;
        for lot in &left {
            let heads = many(lot.heads.len(), "head");
            lines.push(format!("{} left out: its sample would be all of its {heads}; replace them rather", lot.id));
        }
        chosen.iter().map(|p| of_proposal(state, p, it)).collect()
    };
    let ids: Vec<AreaId> = new.iter().map(|n| n.id.clone()).collect();
    let names: Vec<String> = ids.iter().map(ToString::to_string).collect();
    let headline = format!("Formed: {} {}", if ids.len() == 1 { "lot" } else { "lots" }, names.join(", "));
    let drafts = new.into_iter().map(|n| (What::Lot(Box::new(n)), Marks::default())).collect();
    let told = |desk: &crate::record::desk::Desk| {
        let state = desk.state();
        let mut all_lines = Vec::new();
        for lot in lots::lots(state).iter().filter(|l| ids.contains(&l.id)) {
            let heads = many(lot.heads.len(), "head");
            let means = state.one_failure("all of them");
            all_lines.push(format!("{}: {heads}; {}; {means}", lot.id, lot.outcome.asked.because));
        }
        all_lines.extend(lines);
        Told { headline, lots: ids, lines: all_lines, more: serde_json::json!({}) }
    };
    record(file, &mut desk, drafts, told, session)
}

/// The proposals that were asked for, and those that `--all-due` leaves out.
fn chosen(proposed: Vec<Proposal>, it: &Form, file: &Path) -> Result<(Vec<Proposal>, Vec<Proposal>), Failure> {
    if proposed.is_empty() {
        let message = format!("within {} no sample falls due of heads that stand in no open lot", it.within);
        return Err(refuse("nothing-due", file, message, "ask for a longer '--within', or name heads with '--heads'"));
    }
    if it.all_due {
        let (left, chosen): (Vec<_>, Vec<_>) = proposed.into_iter().partition(|p| p.all);
        if chosen.is_empty() {
            let message = "every lot's sample would be as large as the lot itself".to_owned();
            let help = "replace those heads, draw wider lots, or name a lot to form it all the same";
            return Err(refuse("nothing-to-sample", file, message, help));
        }
        return Ok((chosen, left));
    }
    if it.lots.is_empty() {
        let names: Vec<&str> = proposed.iter().map(|p| p.id.as_str()).collect();
        let message = "no lot is named".to_owned();
        let help = format!("name some of these, or add '--all-due': {}", names.join(", "));
        return Err(refuse("missing-lot", file, message, &help));
    }
    for id in &it.lots {
        if !proposed.iter().any(|p| p.id == *id) {
            let known = proposed.iter().map(|p| p.id.as_str());
            let message = format!("no lot '{id}' is proposed so");
            let shown = file.display().to_string();
            return Err(unknown("unknown-lot", &shown, &message, id.as_str(), "proposals", known).into());
        }
    }
    Ok((proposed.into_iter().filter(|p| it.lots.contains(&p.id)).collect(), Vec::new()))
}

fn of_proposal(state: &State, proposal: &Proposal, it: &Form) -> NewLot {
    NewLot {
        id: proposal.id.clone(),
        name: proposal.name.clone(),
        heads: ranges(state, &proposal.heads),
        why: Some(proposal.why.clone()),
        due: proposal.due,
        note: said(it.note.as_ref()),
    }
}

/// A lot of heads that are named.
fn named(state: &State, all: &[Lot], list: &DueList, it: &Form, file: &Path) -> Result<NewLot, Failure> {
    let [id] = it.lots.as_slice() else {
        return Err(refuse(
            "missing-lot",
            file,
            "the lot has no short name, or several".to_owned(),
            "name one: a-z, 0-9 and '-'",
        ));
    };
    if all.iter().any(|l| l.id == *id) {
        let message = format!("a lot named '{id}' exists already");
        return Err(refuse("lot-exists", file, message, "give the new one a name of its own"));
    }
    let shown = file.display().to_string();
    let mut heads: Vec<HeadIx> = Vec::new();
    for stretch in &it.heads {
        area_index(state, &stretch.area, &shown)?;
        let before = heads.len();
        let there = state.layout().heads_of(stretch);
        heads.extend(there.into_iter().filter(|h| state.layout().head(*h).is_some_and(|h| !h.removed)));
        if heads.len() == before {
            let message = format!("the site has no head '{stretch}'");
            return Err(refuse("unknown-head", file, message, "an address is AREA/LINE.PLACE, such as hall/1.2"));
        }
    }
    heads.sort_unstable();
    heads.dedup();
    for head in &heads {
        let open = |l: &&Lot| !l.outcome.stage.is_decided() && l.heads.binary_search(head).is_ok();
        if let Some(lot) = all.iter().find(open) {
            let address = state.address(*head).map_or_else(String::new, |a| a.to_string());
            let message = format!("'{address}' stands in lot '{}', which is not decided yet", lot.id);
            return Err(refuse("in-open-lot", file, message, "a head stands in one open lot only: leave it out"));
        }
        if let Some(failure) = state.failure(*head) {
            let address = state.address(*head).map_or_else(String::new, |a| a.to_string());
            let why = plain(&lots::failure_words(state, &failure));
            let message = format!("a failed test condemns '{address}': {why}");
            return Err(refuse("condemned", file, message, "leave it out: it is to be replaced"));
        }
    }
    // What is due soonest of these heads is why the lot is formed.
    let row = list.rows.iter().filter(|r| r.ixs.iter().any(|h| heads.binary_search(h).is_ok())).min_by_key(|r| r.on);
    Ok(NewLot {
        id: id.clone(),
        name: said(it.name.as_ref()).unwrap_or_else(|| id.to_string()),
        heads: it.heads.clone(),
        why: row.map(|r| r.age.clone()),
        due: row.and_then(|r| r.on),
        note: said(it.note.as_ref()),
    })
}
