//! `headround report`: the summary as text or Markdown, blank sheets for a walk on paper, or the list that hangs in a cabinet.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use super::cabinet::{cabinet_index, no_cabinet};
use super::rulings::area_index;
use super::session::{Done, Outcome, Session};
use crate::diag::{Diagnostic, Severity};
use crate::record::export;
use crate::report::sheets::Paper;
use crate::report::summary::Summary;
use crate::report::text::Layout;
use crate::report::{json, markdown, posted_list, sheets, text};
use crate::trade::address::AreaId;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround report harbour.site.yaml --to text
  headround report harbour.site.yaml --to markdown --out harbour-2026.md
  headround report harbour.site.yaml --to sheets --area pack
  headround report harbour.site.yaml --to posted-list --cabinet riser

Without --out it goes to standard output; with --json, the summary then goes there as JSON. A file that is there is \
replaced only with --over. Sheets and lists of several pages are parted by form feeds, except on a terminal.")]
pub struct Report {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// What to write: the summary as text or markdown, blank walk sheets, or a cabinet's posted-list
    #[arg(long, value_name = "FORM", value_enum, default_value_t = Form::Text, hide_possible_values = true)]
    pub to: Form,

    /// With sheets: only this area; may be given several times
    #[arg(long, value_name = "AREA", value_delimiter = ',', value_parser = AreaId::parse)]
    pub area: Vec<AreaId>,

    /// With posted-list: only this cabinet; may be given several times
    #[arg(long, value_name = "CABINET", value_delimiter = ',', value_parser = AreaId::parse)]
    pub cabinet: Vec<AreaId>,

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
}

/// Writes it.
pub fn run(it: &Report, session: &mut Session<'_, '_>) -> Done {
    let file = it.file.display().to_string();
    let desk = session.read(&it.file)?;
    let state = desk.state();
    if !it.area.is_empty() && it.to != Form::Sheets {
        let trouble = Diagnostic::about(Severity::Error, "bad-option", "--area", "only sheets are written by area");
        return Err(trouble.help("leave '--area' out, or write '--to sheets'").into());
    }
    if !it.cabinet.is_empty() && it.to != Form::PostedList {
        let trouble =
            Diagnostic::about(Severity::Error, "bad-option", "--cabinet", "only posted lists are written by cabinet");
        return Err(trouble.help("leave '--cabinet' out, or write '--to posted-list'").into());
    }
    let today = session.today();
    let ascii = session.draws_ascii();
    let on_terminal = it.out.is_none() && session.around.out_is_terminal;
    let text = match it.to {
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
        _ if session.global.json && it.out.is_none() => json::render(&Summary::of(state, today)),
        Form::Text => {
            let usual = Layout::default().columns;
            let columns = session.around.columns.filter(|_| on_terminal).map_or(usual, |c| c.min(100));
            text::render(&Summary::of(state, today), Layout { columns, ascii })
        }
        Form::Markdown => markdown::render(&Summary::of(state, today)),
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
