//! Names that a person typed, as the register has them; an unknown one is told with the nearest known.

use crate::diag::{Diagnostic, Severity, nearest, plain};
use crate::round::state::State;
use crate::trade::address::AreaId;

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
pub(super) fn unknown<'k>(
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
