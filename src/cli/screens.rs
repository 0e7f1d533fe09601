//! Starting the screens: from the opening screen or with a site open. What they need from outside is handed over here.

use std::path::Path;

use super::demo;
use super::session::{Done, Failure, Outcome, Session};
use super::surroundings::Shared;
use crate::diag::{Diagnostic, Severity};
use crate::record::places::Places;
use crate::tui::app::{App, Setting};
use crate::tui::glyphs::Glyphs;
use crate::tui::run;
use crate::tui::screens::{help, opening, overview, trouble};
use crate::tui::theme::Theme;

/// The opening screen.
pub fn opening(session: &mut Session<'_, '_>) -> Done {
    start(session, None)
}

/// The screens with a site open.
pub fn site(session: &mut Session<'_, '_>, file: &Path) -> Done {
    start(session, Some(file))
}

fn start(session: &mut Session<'_, '_>, file: Option<&Path>) -> Done {
    if !(session.around.in_is_terminal && session.around.out_is_terminal) {
        let it = Diagnostic::about(Severity::Error, "no-terminal", "headround", "the screens need a terminal");
        return Err(it
            .help("for lines of text use 'headround walk FILE --plain'; 'headround --help' lists the commands")
            .into());
    }
    if session.global.round.is_some() {
        let it = Diagnostic::about(
            Severity::Error,
            "bad-option",
            "--round",
            "the screens always start from the latest round",
        );
        return Err(it.help("leave '--round' out, or walk with '--plain'").into());
    }
    let setting = setting(session)?;
    session.streams.out.flush()?;
    let mut app = App::new(setting);
    if let Some(file) = file {
        app.open(file);
    }
    run::run(&mut app, session.clock()).map_err(|error| {
        let it = Diagnostic::about(
            Severity::Error,
            "terminal",
            "headround",
            format!("the terminal could not be used: {error}"),
        );
        Failure::from(
            it.help("what was entered is in the file; try another terminal, or 'headround walk FILE --plain'"),
        )
    })?;
    Ok(Outcome::Fine)
}

fn setting(session: &Session<'_, '_>) -> Result<Setting, Failure> {
    let around = session.around.clone();
    Ok(Setting {
        clock: Box::new(Shared(session.clock())),
        on: session.global.on,
        who: session.writer()?,
        data: around.data.clone(),
        theme: theme(session)?,
        glyphs: if session.draws_ascii() { Glyphs::ascii() } else { Glyphs::unicode() },
        demo: Box::new(move || demo::place(&around, false).map(|place| place.path)),
        opening: opening::Opening::boxed,
        overview: overview::Overview::boxed,
        help: help::Help::boxed,
        trouble: trouble::Trouble::boxed,
    })
}

/// The theme: from the option, HEADROUND_THEME, NO_COLOR, what was chosen last, or the terminal's own colours.
///
/// # Errors
/// HEADROUND_THEME names none.
pub fn theme(session: &Session<'_, '_>) -> Result<&'static Theme, Failure> {
    if let Some(theme) = session.global.theme.as_deref().and_then(Theme::named) {
        return Ok(theme);
    }
    if let Some(name) = &session.around.theme {
        return Theme::named(name).ok_or_else(|| {
            let message = format!("'{}' is no theme", crate::diag::plain(name));
            let it = Diagnostic::about(Severity::Error, "unknown-theme", "HEADROUND_THEME", message);
            it.help(format!("set it to one of: {}", Theme::NAMES.join(", "))).into()
        });
    }
    if session.around.no_color {
        return Ok(Theme::mono());
    }
    let last = session.around.data.as_deref().and_then(|data| Places::load(data).theme);
    Ok(last.as_deref().and_then(Theme::named).unwrap_or_else(Theme::terminal))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::cli::args::Global;
    use crate::cli::surroundings::{Streams, Surroundings};
    use crate::record::desk::Clock;

    struct Still;

    impl Clock for Still {
        fn now(&self) -> chrono::DateTime<chrono::FixedOffset> {
            chrono::DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap()
        }

        fn random(&self) -> u128 {
            7
        }
    }

    fn around() -> Surroundings {
        Surroundings {
            clock: Arc::new(Still),
            user: Some("Ines".into()),
            host: "quay".into(),
            pid: 1,
            data: None,
            rules: None,
            by: None,
            theme: None,
            no_color: false,
            term: None,
            in_is_terminal: false,
            out_is_terminal: false,
            err_is_terminal: false,
            columns: None,
        }
    }

    fn with<T>(global: &Global, around: &Surroundings, ask: impl FnOnce(&Session<'_, '_>) -> T) -> T {
        let (mut input, mut out, mut err) = (std::io::empty(), Vec::new(), Vec::new());
        let mut streams = Streams { input: &mut input, out: &mut out, err: &mut err };
        ask(&Session { global, around, streams: &mut streams, waiting: Vec::new(), damaged: false })
    }

    #[test]
    fn the_theme_comes_from_the_nearest_wish() {
        let folder = tempfile::tempdir().unwrap();
        let mut around = around();
        let mut global = Global::default();
        let name = |g: &Global, a: &Surroundings| with(g, a, |s| theme(s).map(|t| t.name)).unwrap();
        assert_eq!(name(&global, &around), "default");
        around.data = Some(folder.path().to_owned());
        Places { theme: Some("day".into()), ..Places::default() }.save(folder.path()).unwrap();
        assert_eq!(name(&global, &around), "day");
        around.no_color = true;
        assert_eq!(name(&global, &around), "mono");
        around.theme = Some("night".into());
        assert_eq!(name(&global, &around), "night");
        global.theme = Some("day".into());
        assert_eq!(name(&global, &around), "day");
        around.theme = Some("plaid".into());
        global.theme = None;
        assert!(with(&global, &around, |s| theme(s).is_err()));
    }

    #[test]
    fn plain_terminals_get_ascii_and_names_are_taken_in_order() {
        let mut around = around();
        let mut global = Global::default();
        for (term, ascii) in
            [(None, false), (Some("xterm-256color"), false), (Some("linux"), true), (Some("dumb"), true)]
        {
            around.term = term.map(str::to_owned);
            assert_eq!(with(&global, &around, |s| s.draws_ascii()), ascii, "{term:?}");
        }
        assert_eq!(with(&global, &around, |s| s.by()).as_deref(), Some("ines"));
        around.by = Some("i.t\u{1b}".into());
        assert_eq!(with(&global, &around, |s| s.by()).as_deref(), Some("i.t\u{fffd}"));
        global.by = Some("osk".into());
        assert_eq!(with(&global, &around, |s| s.by()).as_deref(), Some("osk"));
        global.by = Some(" ".into());
        assert!(with(&global, &around, |s| s.writer().is_err()));
    }
}
