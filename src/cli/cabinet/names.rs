//! Names that a person typed, as the register has them; an unknown one is told with the nearest known.

use std::collections::BTreeMap;

use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::trade::address::{AreaId, Heads};
use crate::trade::register::KindIx;

/// The place of a cabinet in the register.
///
/// # Errors
/// The site has none of that name.
pub fn cabinet_index(state: &State, cabinet: &AreaId, file: &str) -> Result<usize, Box<Diagnostic>> {
    let cabinets = &state.register().cabinets;
    if cabinets.is_empty() {
        return Err(no_cabinet(file));
    }
    state.register().cabinet_named(cabinet.as_str()).ok_or_else(|| {
        unknown(
            "unknown-cabinet",
            file,
            &format!("the site has no cabinet '{cabinet}'"),
            cabinet.as_str(),
            "cabinets",
            cabinets.iter().map(|c| c.id.as_str()),
        )
    })
}

/// That the register holds no cabinet, and how it gets one.
#[must_use]
pub fn no_cabinet(file: &str) -> Box<Diagnostic> {
    let it = Diagnostic::about(Severity::Error, "no-cabinet", file, "the register holds no cabinet of spare heads");
    Box::new(it.help("add it: headround cabinet FILE add riser --name 'Valve room cabinet'"))
}

/// The diagnostic for a name that is not among the known ones.
#[must_use]
pub fn unknown<'k>(
    code: &'static str,
    file: &str,
    message: &str,
    name: &str,
    plural: &str,
    known: impl Iterator<Item = &'k str> + Clone,
) -> Box<Diagnostic> {
    let it = Diagnostic::about(Severity::Error, code, file, message);
    Box::new(it.help(match nearest(name, known.clone()) {
        Some(near) => format!("did you mean '{}'?", plain(near)),
        None => format!("its {plural}: {}", known.map(plain).collect::<Vec<_>>().join(", ")),
    }))
}

/// A kind of the register.
///
/// # Errors
/// The site has none of that name.
pub(super) fn kind_index(state: &State, kind: &str, file: &str) -> Result<KindIx, Box<Diagnostic>> {
    state.register().kind_named(kind).ok_or_else(|| {
        let known = state.register().kinds.iter().map(|k| k.id.as_str());
        let message = format!("the site has no kind '{}'", plain(kind));
        unknown("unknown-kind", file, &message, kind, "kinds", known)
    })
}

/// Kinds with numbers as an entry holds them; no kind may stand there twice.
pub(super) fn kinds_and_numbers(
    state: &State,
    list: &[(String, u32)],
    file: &str,
) -> Result<BTreeMap<String, u32>, Box<Diagnostic>> {
    let mut map = BTreeMap::new();
    for (kind, n) in list {
        kind_index(state, kind, file)?;
        if map.insert(kind.clone(), *n).is_some() {
            let message = format!("'{}' is named twice", plain(kind));
            let it = Diagnostic::about(Severity::Error, "named-twice", file, message);
            return Err(Box::new(it.help("add the numbers and name it once")));
        }
    }
    Ok(map)
}

/// The heads of an address form that are there, at least one.
pub(super) fn heads_there(state: &State, heads: &Heads, file: &str) -> Result<Vec<HeadIx>, Box<Diagnostic>> {
    super::super::rulings::area_index(state, &heads.area, file)?;
    let mut list = Vec::new();
    state.layout().each(heads, |h| {
        if state.layout().head(h).is_some_and(|h| !h.removed) {
            list.push(h);
        }
    });
    if list.is_empty() {
        let message = format!("the site has no head '{heads}'");
        let it = Diagnostic::about(Severity::Error, "unknown-head", file, message);
        return Err(Box::new(it.help("an address is AREA/LINE.PLACE, such as hall/1.2")));
    }
    Ok(list)
}
