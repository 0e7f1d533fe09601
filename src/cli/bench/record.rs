//! Recording what the bench saw of one head.

use std::path::Path;

use super::super::lot::{Told, find, open, record, refuse, said, tags_of};
use super::super::session::{Done, Failure, Session};
use super::{Record, list};
use crate::diag::plain;
use crate::record::desk::Desk;
use crate::round::entry::{Marks, Readings, Tested, What};
use crate::round::lots::{self, Lot, Sample};
use crate::round::state::State;
use crate::trade::address::Address;

/// Records it, and says what it shows.
pub(super) fn run(file: &Path, it: &Record, session: &mut Session<'_, '_>) -> Done {
    let mut desk = open(file, session)?;
    let state = desk.state();
    let lot = find(state, &it.lot, file)?;
    let sample = sample(state, &lot, &it.head, file)?;
    let readings = readings(it);
    if readings == Readings::default() {
        let message = "nothing is said that the bench saw".to_owned();
        return Err(refuse("nothing-said", file, message, "add --oven, --air, --start, --element, --clear, --until …"));
    }
    if let Some(date) = it.date.filter(|d| *d > session.today()) {
        return Err(refuse(
            "in-the-future",
            file,
            format!("{date} is yet to come"),
            "write a test down once it is done",
        ));
    }
    let known = sample.test.and_then(|ix| state.entry(ix)).map(|e| e.id);
    if known.is_some() && !it.instead {
        let message = format!("'{}' has a test already, and a head is operated once", plain(&sample.tag));
        return Err(refuse("tested-already", file, message, "to correct what was recorded, add '--instead'"));
    }
    let failed = sample.judged.as_ref().is_some_and(|j| j.verdict.fails());
    if failed && said(it.note.as_ref()).is_none() {
        let message =
            format!("the test of '{}' on record failed, and that is put aside only with a reason", plain(&sample.tag));
        return Err(refuse("no-reason", file, message, "say why in '--note', such as 'read from the neighbour's row'"));
    }
    if known.is_none() && it.instead {
        let message = format!("'{}' has no test that could be corrected", plain(&sample.tag));
        return Err(refuse("not-tested", file, message, "leave '--instead' out"));
    }
    let Some(head) = state.address(sample.head) else {
        return Err(refuse("unknown-head", file, "the head has no address".to_owned(), "look at the register"));
    };
    let mut lines = Vec::new();
    if sample.taken.is_none() {
        lines.push(format!("not written down yet that {head} was taken down and replaced; the walk does that"));
    }
    let headline = format!("Tested: {} from {head}, lot {}", plain(&sample.tag), lot.id);
    let what = Tested { lot: lot.id.clone(), head, readings };
    let marks = Marks { instead: known, ..Marks::default() };
    let tag = sample.tag;
    let told = |desk: &Desk| {
        let state = desk.state();
        let now = lots::lots(state);
        let now: Vec<&Lot> = now.iter().filter(|l| l.id == lot.id).collect();
        let tests: Vec<_> = now.iter().flat_map(|l| list::tests(state, std::slice::from_ref(*l))).collect();
        let test = tests.into_iter().find(|t| t.tag == tag);
        let mut all = Vec::new();
        if let Some(test) = &test {
            all.push(list::why(test));
            let indices = test.limits.indices();
            all.push(format!("limits: {} s; response time index {indices} (m.s)^0.5", test.limits.times()));
            all.extend(test.rti.map(|r| format!("response time index shown: {r:.1} (m.s)^0.5")));
        }
        all.extend(lines);
        Told { headline, lots: vec![lot.id.clone()], lines: all, more: serde_json::json!({ "test": test }) }
    };
    record(file, &mut desk, vec![(What::Tested(Box::new(what)), marks)], told, session)
}

/// The drawn head of a tag or an address.
fn sample(state: &State, lot: &Lot, text: &str, file: &Path) -> Result<Sample, Failure> {
    if let Some(sample) = lot.tagged(text) {
        return Ok(sample.clone());
    }
    if let Ok(address) = Address::parse(text) {
        let found = state.layout().find(&address).and_then(|head| lot.sample_at(head));
        return found.cloned().ok_or_else(|| {
            let message = format!("'{address}' was not drawn for lot '{}'", lot.id);
            refuse("not-drawn", file, message, "draw it first: headround lot FILE draw LOT --heads HEAD --note WHY")
        });
    }
    let message = format!("no head of lot '{}' bears the tag '{}'", lot.id, plain(text));
    if lot.samples.is_empty() {
        return Err(refuse("not-drawn", file, format!("lot '{}' has no sample yet", lot.id), "draw it first"));
    }
    Err(refuse("unknown-tag", file, message, &format!("its tags: {}", tags_of(lot))))
}

fn readings(it: &Record) -> Readings {
    Readings {
        on: it.date,
        bench: said(it.bench.as_ref()),
        before: it.before,
        oven: it.oven,
        air: it.air,
        start: it.start,
        pressure: it.pressure,
        element: it.element,
        leak: it.leak,
        clear: it.clear,
        until: it.until,
        operating: it.operating,
        c: it.c,
        rti: it.rti,
        opened: it.opened,
        seal: it.seal,
        lodged: it.lodged,
        deflector: it.deflector,
        note: said(it.note.as_ref()),
    }
}
