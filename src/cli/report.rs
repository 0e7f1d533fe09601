//! `headround report`: the summary as text or Markdown, blank sheets for a walk on paper, the list that hangs in a cabinet, or the
//! papers of a lot.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use super::cabinet::{cabinet_index, no_cabinet};
use super::rulings::area_index;
use super::session::{Done, Outcome, Session};
use crate::diag::{Diagnostic, Severity, nearest};
use crate::record::export;
use crate::report::sheets::Paper;
use crate::report::summary::Summary;
use crate::report::text::Layout;
use crate::report::{custody_form, json, markdown, posted_list, pull_list, sheets, tags, text};
use crate::round::lots::{Lot, lots};
use crate::round::state::State;
use crate::trade::address::AreaId;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround report harbour.site.yaml --to text
  headround report harbour.site.yaml --to markdown --out harbour-2026.md
  headround report harbour.site.yaml --to sheets --area pack
  headround report harbour.site.yaml --to posted-list --cabinet riser
  headround report harbour.site.yaml --to pull-list --lot dry-1988

A lot's papers: the pull-list to carry when its sample is taken down, tags to cut out, and the custody form that goes with it.
Without --out it goes to standard output; with --json, the summary then goes there as JSON. A file that is there is \
replaced only with --over. Sheets and lists of several pages are parted by form feeds, except on a terminal.")]
pub struct Report {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// What to write: the summary as text or markdown, blank walk sheets, a cabinet's posted-list, or a lot's pull-list, tags or custody form
    #[arg(long, value_name = "FORM", value_enum, default_value_t = Form::Text, hide_possible_values = true)]
    pub to: Form,

    /// With sheets: only this area; may be given several times
    #[arg(long, value_name = "AREA", value_delimiter = ',', value_parser = AreaId::parse)]
    pub area: Vec<AreaId>,

    /// With posted-list: only this cabinet; may be given several times
    #[arg(long, value_name = "CABINET", value_delimiter = ',', value_parser = AreaId::of_cabinet)]
    pub cabinet: Vec<AreaId>,

    /// With pull-list, tags and custody: which lot
    #[arg(long, value_name = "LOT", value_parser = AreaId::of_lot)]
    pub lot: Option<AreaId>,

    /// With pull-list, tags and custody: as Markdown
    #[arg(long)]
    pub markdown: bool,

    /// Write to this file
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,

    /// Replace the file if it is there
    #[arg(long, requires = "out")]
    pub over: bool,
}

/// What to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// The summary in plain text.
    Text,
    /// The summary in Markdown.
    Markdown,
    /// Blank sheets.
    Sheets,
    /// The list to hang up in a cabinet.
    PostedList,
    /// What to carry when a lot's sample is taken down.
    PullList,
    /// Labels for the bags of a sample.
    Tags,
    /// The form that goes with a sample.
    Custody,
}

impl Form {
    /// Whether it is a paper of one lot.
    const fn of_a_lot(self) -> bool {
        matches!(self, Self::PullList | Self::Tags | Self::Custody)
    }
}

/// A lot by its name, however capitals are written; else a complaint with the names there are.
fn lot_named(state: &State, wanted: Option<&AreaId>, file: &str) -> Result<Lot, Box<Diagnostic>> {
    let mut all = lots(state);
    if all.is_empty() {
        let it = Diagnostic::about(Severity::Error, "no-lot", file, "no lot is formed at this site");
        return Err(Box::new(it.help(format!("'headround lot {file} ways' shows what could be formed"))));
    }
    let names: Vec<String> = all.iter().map(|l| l.id.to_string()).collect();
    let Some(wanted) = wanted else {
        let it = Diagnostic::about(
            Severity::Error,
            "missing-option",
            "--lot",
            "a pull list, tags and a custody form are of one lot",
        );
        return Err(Box::new(it.help(format!("say which, with '--lot'; the site's lots: {}", names.join(", ")))));
    };
    match names.iter().position(|n| n == wanted.as_str()) {
        Some(at) => Ok(all.swap_remove(at)),
        None => {
            let it = Diagnostic::about(Severity::Error, "unknown-lot", file, format!("the site has no lot '{wanted}'"));
            Err(Box::new(it.help(match nearest(wanted.as_str(), names.iter().map(String::as_str)) {
                Some(near) => format!("did you mean '{near}'?"),
                None => format!("its lots: {}", names.join(", ")),
            })))
        }
    }
}

/// Writes it.
pub fn run(it: &Report, session: &mut Session<'_, '_>) -> Done {
    let file = it.file.display().to_string();
    let desk = session.read(&it.file)?;
    let (state, unread) = (desk.state(), desk.unread());
    if !it.area.is_empty() && it.to != Form::Sheets {
        let trouble = Diagnostic::about(Severity::Error, "bad-option", "--area", "only sheets are written by area");
        return Err(trouble.help("leave '--area' out, or write '--to sheets'").into());
    }
    if !it.cabinet.is_empty() && it.to != Form::PostedList {
        let trouble =
            Diagnostic::about(Severity::Error, "bad-option", "--cabinet", "only posted lists are written by cabinet");
        return Err(trouble.help("leave '--cabinet' out, or write '--to posted-list'").into());
    }
    if !it.to.of_a_lot() && (it.lot.is_some() || it.markdown) {
        let option = if it.markdown { "--markdown" } else { "--lot" };
        let trouble = Diagnostic::about(
            Severity::Error,
            "bad-option",
            option,
            "only a pull list, tags and a custody form take it",
        );
        let help = if it.markdown {
            "leave it out; the summary as Markdown is '--to markdown'"
        } else {
            "leave '--lot' out, or write '--to pull-list'"
        };
        return Err(trouble.help(help).into());
    }
    let today = session.today();
    let ascii = session.draws_ascii();
    let on_terminal = it.out.is_none() && session.around.out_is_terminal;
    let usual = Layout::default().columns;
    let columns = session.around.columns.filter(|_| on_terminal).map_or(usual, |c| c.min(100));
    let text = match it.to {
        form if form.of_a_lot() => {
            let lot = lot_named(state, it.lot.as_ref(), &file)?;
            let as_json = session.global.json && it.out.is_none();
            if form == Form::Tags && !as_json && !it.markdown {
                tags::render(state, &lot, today, Paper { ascii, form_feed: !on_terminal, ..Paper::default() })
            } else {
                let document = match form {
                    Form::Tags => tags::document(state, &lot, today),
                    Form::Custody => custody_form::document(state, &lot, today),
                    _ => pull_list::document(state, &lot, today),
                };
                match (as_json, it.markdown) {
                    (true, _) => json::sheet(&document),
                    (false, true) => markdown::render(&document),
                    (false, false) => text::render(&document, Layout { columns, ascii }),
                }
            }
        }
        Form::Sheets => {
            let areas = it.area.iter().map(|a| area_index(state, a, &file)).collect::<Result<Vec<u16>, _>>()?;
            sheets::render(state, &areas, today, Paper { ascii, form_feed: !on_terminal, ..Paper::default() })
        }
        Form::PostedList => {
            let cabinets = it.cabinet.iter().map(|c| cabinet_index(state, c, &file)).collect::<Result<Vec<_>, _>>()?;
            if state.register().cabinets.is_empty() {
                return Err(no_cabinet(&file).into());
            }
            let paper = Paper { ascii, form_feed: !on_terminal, ..Paper::default() };
            posted_list::render_all(state, &cabinets, today, paper)
        }
        _ if session.global.json && it.out.is_none() => json::render(&Summary::of(state, today).with_unread(unread)),
        Form::Text => text::render(&Summary::of(state, today).with_unread(unread), Layout { columns, ascii }),
        _ => markdown::render(&Summary::of(state, today).with_unread(unread)),
    };
    let Some(out) = &it.out else {
        session.say_text(&text)?;
        return Ok(Outcome::Fine);
    };
    export::write_out(out, &text, it.over).map_err(|trouble| match trouble.code {
        "exists" => Box::new(trouble.help("choose another name, or replace it with '--over'")),
        _ => trouble,
    })?;
    let shown = out.display().to_string();
    if session.global.json {
        session.say_json(&serde_json::json!({ "file": file, "written": shown }))?;
    } else {
        session.say(&format!("Written: {shown}"))?;
    }
    Ok(Outcome::Fine)
}
