//! `headround lot`: the lots of a site, and what is done with them from the line: ways to draw them, forming, drawing, handing on,
//! concluding.

mod draw;
pub mod facts;
mod form;
mod hand;
mod show;
mod tell;
mod ways;

use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use clap::{ArgGroup, Args, Subcommand, ValueHint};

pub use show::verdict;
pub use tell::{Told, record};

use super::args::day;
use super::cabinet::unknown;
use super::session::{Done, Failure, Outcome, Session, many};
use super::table;
use crate::diag::{Diagnostic, Severity, plain};
use crate::record::desk::Desk;
use crate::round::entry::Step;
use crate::round::lots::{self, Divide, Lot, Stage};
use crate::round::state::State;
use crate::trade::address::{Address, AreaId, Heads};
use crate::trade::measure::Span;
use crate::trade::quantity::PartialDate;
use facts::LotFacts;

/// Arguments.
#[derive(Debug, Args)]
#[command(subcommand_value_name = "ACT", subcommand_help_heading = "Acts")]
#[command(after_help = "\
Examples:
  headround lot harbour.site.yaml
  headround lot harbour.site.yaml ways --within '24 months'
  headround lot harbour.site.yaml form --apart area,kind --all-due
  headround lot harbour.site.yaml form hall-2009 --heads hall --name 'Entrance hall, 2009'
  headround lot harbour.site.yaml draw hall-2009
  headround lot harbour.site.yaml hand hall-2009 --step handed-over --to 'Saltpan Test House'

Without an act it lists the lots. A lot is all heads that one sample stands for: one head that fails condemns them all. How \
heads are drawn, so that anybody can draw them again, stands in docs/lots.md. With --strict the exit code is 1 where a lot \
waits for something. An act is recorded in the present round at once; to take one back: 'undo' on the walk.")]
pub struct LotCommand {
    /// The site file
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// What to do.
    #[command(subcommand)]
    pub act: Option<Act>,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// Show one lot: its heads, draws, sample, custody and result
    Show(Show),
    /// Lay the ways to draw the lots side by side: lots, sample, what one failure condemns; nothing is recorded
    Ways(Ways),
    /// Form lots: of heads named, or of those that fall due
    Form(Box<Form>),
    /// Draw a lot's sample, by chance or by hand
    Draw(Draw),
    /// Record that a sample was packed, handed over, received or scrapped
    Hand(Hand),
    /// Record a laboratory's result for a whole lot
    Conclude(Conclude),
}

/// One lot.
#[derive(Debug, Args)]
pub struct Show {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,
}

/// Ways to draw the lots.
#[derive(Debug, Args)]
#[command(after_help = "\
Compared are the heads for which a sample falls due and that stand in no open lot. MOST: the most heads that one failure \
condemns, or speaks for where the rule set leaves to people what follows. UNSEEN: the odds that a lot with 5 % bad heads, at least one, shows no failure in its sample; of the lot where they \
are highest. A wide lot costs few heads and puts many at stake. With --prices each way has what it costs if nothing fails, what \
replacing all untested costs, and the most that one failure adds; docs/order.md describes the price file.")]
pub struct Ways {
    /// What falls due within this span, such as '24 months'
    #[arg(long, value_name = "SPAN", default_value = "24 months", value_parser = Span::parse)]
    pub within: Span,

    /// Your own price file: what it costs to test, to replace, and what a failure adds
    #[arg(long, value_name = "PATH", value_hint = ValueHint::FilePath)]
    pub prices: Option<PathBuf>,
}

/// New lots.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround lot harbour.site.yaml form hall-2009 --heads hall/1..2 --name 'Entrance hall, 2009'
  headround lot harbour.site.yaml form --apart area,kind,year,setting --within '24 months' --all-due
  headround lot harbour.site.yaml form hall-qr-pendent-2009 --apart area,kind,year,setting

With --apart the lots are those that 'ways' shows: name the ones to form, or take all with --all-due. A lot whose sample would \
be as large as itself is left out by --all-due: its heads are replaced rather than tested. A head stands in one open lot only.")]
#[command(group = ArgGroup::new("what").required(true).args(["heads", "apart"]))]
pub struct Form {
    /// The lot's short name; with --apart the names of lots that it proposes
    #[arg(value_name = "LOT", value_parser = AreaId::of_lot)]
    pub lots: Vec<AreaId>,

    /// The heads that it stands for: addresses, ranges, lines or areas
    #[arg(long, value_name = "HEADS", value_delimiter = ',', value_parser = Heads::parse)]
    pub heads: Vec<Heads>,

    /// Its name for people; the short name where it is left out
    #[arg(long, value_name = "NAME", requires = "heads")]
    pub name: Option<String>,

    /// What is kept apart: area, system, setting, kind, year; 'nothing' makes one lot
    #[arg(long, value_name = "WHAT", value_delimiter = ',', value_parser = divide)]
    pub apart: Vec<Option<Divide>>,

    /// With --apart: what falls due within this span
    #[arg(long, value_name = "SPAN", default_value = "24 months", value_parser = Span::parse)]
    pub within: Span,

    /// With --apart: form every lot that is proposed
    #[arg(long, requires = "apart", conflicts_with = "lots")]
    pub all_due: bool,

    /// A note
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// A draw.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround lot harbour.site.yaml draw hall-2009 --dry-run
  headround lot harbour.site.yaml draw hall-2009 --seed 20261125
  headround lot harbour.site.yaml draw hall-2009 --heads hall/1.2,hall/2.1 --note 'the laboratory asked for these'

Refused are heads with a visible defect, those nobody has looked at in this round, those replaced since and newer than the \
others, and those drawn already: each is shown with its reason. The seed is recorded; a dry run of a recorded seed makes that \
draw again from the record as it stood then, and says whether the same heads come out.")]
pub struct Draw {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// The seed; chance gives one where it is left out
    #[arg(long, value_name = "N", conflicts_with = "heads")]
    pub seed: Option<u32>,

    /// Draw these by hand
    #[arg(long, value_name = "HEAD", value_delimiter = ',', value_parser = Address::parse, requires = "note")]
    pub heads: Vec<Address>,

    /// Heads that nobody has looked at in this round may be drawn too
    #[arg(long)]
    pub unseen: bool,

    /// Draw so many more than were drawn, whatever the rule set asks for
    #[arg(long, value_name = "N", conflicts_with = "heads", value_parser = more, allow_negative_numbers = true)]
    pub more: Option<u32>,

    /// Show the draw and record nothing
    #[arg(long)]
    pub dry_run: bool,

    /// A note; of a draw by hand: why these
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// A step of custody.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround lot harbour.site.yaml hand hall-2009 --step handed-over --from 'Ines Tidewell' --to 'Saltpan Test House' --note 'parcel 7'")]
pub struct Hand {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// What happened: packed, handed-over, received or scrapped
    #[arg(long, value_name = "STEP", value_parser = Step::parse)]
    pub step: Step,

    /// From whom
    #[arg(long, value_name = "WHO")]
    pub from: Option<String>,

    /// To whom
    #[arg(long, value_name = "WHO")]
    pub to: Option<String>,

    /// When, where it was another day
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// Only the heads with these tags
    #[arg(long, value_name = "TAG", value_delimiter = ',')]
    pub tag: Vec<String>,

    /// A note: parcel number, seals
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// A result for the whole.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  headround lot harbour.site.yaml conclude hall-2009 --passed --date 2027-02 --lab 'Saltpan Test House, report 118' --tested 4

For a laboratory that does not tell of each head, and for tests of earlier years. A head whose own test failed is not undone \
by it.")]
#[command(group = ArgGroup::new("result").required(true).args(["passed", "failed"]))]
pub struct Conclude {
    /// Which lot
    #[arg(value_parser = AreaId::of_lot)]
    pub lot: AreaId,

    /// The sample passed
    #[arg(long)]
    pub passed: bool,

    /// The sample failed
    #[arg(long)]
    pub failed: bool,

    /// When: a day, a month or a year
    #[arg(long, value_name = "DATE", value_parser = PartialDate::parse)]
    pub date: PartialDate,

    /// Who says so: the laboratory, the number of its report
    #[arg(long, value_name = "WHO")]
    pub lab: String,

    /// How many heads it tested
    #[arg(long, value_name = "N")]
    pub tested: Option<u32>,

    /// A note
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// How many heads more are drawn.
fn more(text: &str) -> Result<u32, String> {
    let n = text.trim().parse::<u32>().ok().filter(|n| (1..=10_000).contains(n));
    n.ok_or_else(|| "write how many heads more are drawn, a whole number from 1 to 10000".to_owned())
}

fn divide(text: &str) -> Result<Option<Divide>, String> {
    if text == "nothing" { Ok(None) } else { Divide::parse(text).map(Some) }
}

/// Shows or records.
pub fn run(it: &LotCommand, session: &mut Session<'_, '_>) -> Done {
    match &it.act {
        None => list(&it.file, session),
        Some(Act::Show(act)) => show::run(&it.file, act, session),
        Some(Act::Ways(act)) => ways::run(&it.file, act, session),
        Some(Act::Form(act)) => form::run(&it.file, act, session),
        Some(Act::Draw(act)) => draw::run(&it.file, act, session),
        Some(Act::Hand(act)) => hand::hand(&it.file, act, session),
        Some(Act::Conclude(act)) => hand::conclude(&it.file, act, session),
    }
}

/// Opens the site for writing, in the round asked for.
pub fn open(file: &Path, session: &mut Session<'_, '_>) -> Result<Desk, Failure> {
    let round = session.global.round.clone();
    session.write(file, round.as_deref())
}

/// What was asked for and cannot be.
pub fn refuse(code: &'static str, file: &Path, message: String, help: &str) -> Failure {
    Diagnostic::about(Severity::Error, code, file.display().to_string(), message).help(help).into()
}

/// A text that says something.
pub fn said(text: Option<&String>) -> Option<String> {
    text.map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
}

/// The lot of that name.
///
/// # Errors
/// The site has none.
pub fn find(state: &State, id: &AreaId, file: &Path) -> Result<Lot, Box<Diagnostic>> {
    let mut all = lots::lots(state);
    if let Some(at) = all.iter().position(|l| l.id == *id) {
        return Ok(all.swap_remove(at));
    }
    let file = file.display().to_string();
    if all.is_empty() {
        let it = Diagnostic::about(Severity::Error, "no-lot", file, "the site has no lot");
        return Err(Box::new(it.help("form one: headround lot FILE form LOT --heads HEADS")));
    }
    let known = all.iter().map(|l| l.id.as_str());
    Err(unknown("unknown-lot", &file, &format!("the site has no lot '{id}'"), id.as_str(), "lots", known))
}

/// The most tags that are named.
const MOST_TAGS: usize = 24;

/// The tags of a sample. None is offered as the nearest: tags differ by a number, and another head's is no help.
pub fn tags_of(lot: &Lot) -> String {
    let named: Vec<String> = lot.samples.iter().take(MOST_TAGS).map(|s| plain(&s.tag)).collect();
    let rest = lot.samples.len().saturating_sub(MOST_TAGS);
    if rest > 0 { format!("{} and {rest} more", named.join(", ")) } else { named.join(", ") }
}

/// Whether a lot waits for somebody.
pub fn waits(lot: &LotFacts) -> bool {
    lot.condemned > 0 || !lot.stage.is_decided()
}

fn list(file: &Path, session: &mut Session<'_, '_>) -> Done {
    let shown = file.display().to_string();
    let desk = session.read(file)?;
    let state = desk.state();
    let all: Vec<LotFacts> = lots::lots(state).iter().map(|l| LotFacts::of(state, l)).collect();
    let act = all.iter().any(waits);
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": shown,
            "site": state.register().site.name,
            "round": state.present_round().map(|r| r.name.to_string()),
            "lots": all,
        }))?;
        return Ok(Outcome::of(act));
    }
    session.say(&format!("{} ({shown})", state.register().site.name))?;
    if all.is_empty() {
        session
            .say("No lot is formed. What falls due: headround due FILE; ways to draw lots: headround lot FILE ways")?;
        return Ok(Outcome::Fine);
    }
    let row = |l: &LotFacts| {
        let tested = l.samples.iter().filter(|s| s.test.is_some()).count();
        let numbers =
            [l.heads, l.asked.heads as usize, l.samples.len(), tested, l.failed as usize].map(|n| n.to_string());
        let first = [l.lot.to_string(), loud(l.stage)];
        first.into_iter().chain(numbers).chain([l.next.clone()]).collect::<Vec<_>>()
    };
    let rows: Vec<Vec<String>> = all.iter().map(row).collect();
    let head = ["LOT", "STAGE", "HEADS", "ASKED", "DRAWN", "TESTED", "FAILED", "NEXT"];
    let columns = session.around.columns.map_or(super::COLUMNS, |c| c.clamp(60, 140));
    session.say_text(&table::fitted(&head, &rows, columns))?;
    for lot in &all {
        if let Some(failure) = &lot.failure {
            let class = failure.class.map_or(String::new(), |c| format!(" ({c})"));
            session.say(&format!("{}{class}: {} condemned", failure.said, many(lot.condemned, "head")))?;
        }
    }
    Ok(Outcome::of(act))
}

/// A stage as a list shows it: nobody may overlook a condemned lot.
pub fn loud(stage: Stage) -> String {
    if stage == Stage::Condemned { stage.label().to_uppercase() } else { stage.label().to_owned() }
}
