//! The loop between a real terminal and the app. It sleeps until something happens: no polling, and no ticking but while a
//! stopwatch is shown running. Panics, errors and signals restore the terminal.

use std::io;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste, Event};
use crossterm::execute;

use super::app::App;
use crate::record::desk::Clock;

enum Happening {
    /// What the terminal sent, and when it came.
    Terminal(io::Result<Event>, DateTime<FixedOffset>),
    Terminate,
}

/// How often a running time is drawn: its tenths of a second can be read, and a slow terminal keeps up.
const TICK: Duration = Duration::from_millis(100);

/// Runs the app until the person leaves or the system asks it to end. `clock` is the app's own.
///
/// # Errors
/// The terminal could not be used.
pub fn run(app: &mut App, clock: Arc<dyn Clock>) -> io::Result<()> {
    // Colours are decided by the theme alone: crossterm's own handling of NO_COLOR would erase reverse video.
    crossterm::style::force_color_output(true);
    let (sender, happenings) = channel();
    watch_signals(&sender)?;
    let mut terminal = ratatui::try_init()?;
    let restore = Restore;
    let _ = execute!(io::stdout(), EnableBracketedPaste);
    watch_terminal(sender, clock);
    let outcome = turn(app, &mut terminal, &happenings);
    drop(restore);
    outcome
}

fn turn(app: &mut App, terminal: &mut ratatui::DefaultTerminal, happenings: &Receiver<Happening>) -> io::Result<()> {
    terminal.draw(|frame| app.draw(frame))?;
    while !app.is_done() {
        let mut dirty = false;
        // Whatever has piled up is taken before one drawing, so that held keys never lag behind.
        let mut next = if app.is_running() {
            match happenings.recv_timeout(TICK) {
                Err(RecvTimeoutError::Timeout) => {
                    app.tick();
                    dirty = true;
                    None
                }
                other => other.ok(),
            }
        } else {
            happenings.recv().ok()
        };
        while let Some(happening) = next {
            match happening {
                Happening::Terminal(event, at) => dirty |= app.take_struck(&event?, at),
                Happening::Terminate => return Ok(()),
            }
            next = if app.is_done() { None } else { happenings.try_recv().ok() };
        }
        if dirty && !app.is_done() {
            terminal.draw(|frame| app.draw(frame))?;
        }
    }
    Ok(())
}

/// Gives the terminal back however the loop ends; a panic's hook does the same before its message is printed.
struct Restore;

impl Drop for Restore {
    fn drop(&mut self) {
        let _ = execute!(io::stdout(), DisableBracketedPaste);
        ratatui::restore();
    }
}

fn watch_terminal(sender: Sender<Happening>, clock: Arc<dyn Clock>) {
    thread::spawn(move || {
        loop {
            let event = crossterm::event::read();
            let failed = event.is_err();
            if sender.send(Happening::Terminal(event, clock.now())).is_err() || failed {
                return;
            }
        }
    });
}

#[cfg(unix)]
fn watch_signals(sender: &Sender<Happening>) -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT])?;
    let sender = sender.clone();
    thread::spawn(move || {
        for _ in &mut signals {
            if sender.send(Happening::Terminate).is_err() {
                return;
            }
        }
    });
    Ok(())
}

#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "the Unix twin can fail")]
fn watch_signals(_: &Sender<Happening>) -> io::Result<()> {
    Ok(())
}
