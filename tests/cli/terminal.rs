//! The real program in a pseudo-terminal: however it ends, the terminal is as it was.

use std::io::{Read, Write};
use std::num::NonZero;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, PtySize, native_pty_system};

use crate::support::Place;

const ROWS: NonZero<u16> = NonZero::new(24).unwrap();
const COLUMNS: NonZero<u16> = NonZero::new(80).unwrap();

struct Terminal {
    screen: Arc<Mutex<vt100::Parser>>,
    keys: Box<dyn Write + Send>,
    child: Box<dyn Child + Send + Sync>,
    _master: Box<dyn portable_pty::MasterPty + Send>,
}

impl Terminal {
    fn start(place: &Place, arguments: &[&str]) -> Self {
        let pty = native_pty_system()
            .openpty(PtySize { rows: ROWS.get(), cols: COLUMNS.get(), pixel_width: 0, pixel_height: 0 })
            .unwrap();
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_headround"));
        command.env_clear();
        command.args(arguments);
        command.cwd(place.path(""));
        for (name, value) in [("HEADROUND_DATA", place.path("data")), ("HEADROUND_TRAP", place.path("panic"))] {
            command.env(name, value);
        }
        command.env("TERM", "xterm");
        command.env("USER", "ines");
        let child = pty.slave.spawn_command(command).unwrap();
        drop(pty.slave);
        let screen = Arc::new(Mutex::new(vt100::Parser::new(ROWS, COLUMNS, 500)));
        let mut reader = pty.master.try_clone_reader().unwrap();
        let keys = pty.master.take_writer().unwrap();
        let seen = Arc::clone(&screen);
        thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n @ 1..) = reader.read(&mut buffer) {
                seen.lock().unwrap().process(&buffer[..n]);
            }
        });
        Self { screen, keys, child, _master: pty.master }
    }

    fn text(&self) -> String {
        self.screen.lock().unwrap().screen().contents()
    }

    /// Waits for the screen to be as wanted; a minute at most, for a busy machine.
    fn wait(&self, what: &str, wanted: impl Fn(&vt100::Screen) -> bool) {
        let start = Instant::now();
        while !wanted(self.screen.lock().unwrap().screen()) {
            assert!(start.elapsed() < Duration::from_secs(60), "{what}: {}", self.text());
            thread::sleep(Duration::from_millis(20));
        }
    }

    fn type_in(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// Holds that the program has left the screen as it found it.
    fn is_restored(&self) {
        self.wait("the terminal is restored", |s| !s.alternate_screen() && !s.hide_cursor() && !s.bracketed_paste());
    }
}

fn walking(place: &Place) -> Terminal {
    let terminal = Terminal::start(place, &["walk", "harbour.site.yaml"]);
    terminal.wait("the site is shown", |s| s.alternate_screen() && s.contents().contains("Harbour Office"));
    terminal
}

#[test]
fn leaving_restores_the_terminal() {
    let place = Place::half_walked();
    let mut terminal = walking(&place);
    terminal.type_in("\u{3}");
    assert_eq!(terminal.child.wait().unwrap().exit_code(), 0);
    terminal.is_restored();
}

#[test]
fn a_panic_restores_the_terminal_and_says_what_happened() {
    let place = Place::half_walked();
    let mut terminal = walking(&place);
    place.write("panic", "");
    terminal.type_in("j");
    assert_eq!(terminal.child.wait().unwrap().exit_code(), 101);
    terminal.is_restored();
    terminal.wait("the panic is told", |s| s.contents().contains("the trap of HEADROUND_TRAP"));
}

#[cfg(unix)]
#[test]
fn a_terminate_signal_restores_the_terminal() {
    let place = Place::half_walked();
    let mut terminal = walking(&place);
    let pid = terminal.child.process_id().unwrap().to_string();
    assert!(std::process::Command::new("kill").args(["-TERM", &pid]).status().unwrap().success());
    assert_eq!(terminal.child.wait().unwrap().exit_code(), 0);
    terminal.is_restored();
}

#[test]
fn the_plain_walk_leaves_the_screen_alone() {
    let place = Place::half_walked();
    let mut terminal = Terminal::start(&place, &["walk", "harbour.site.yaml", "--plain"]);
    terminal.wait("the prompt where one left off", |s| s.contents().contains("plant/1.2>"));
    assert!(!terminal.screen.lock().unwrap().screen().alternate_screen());
    terminal.type_in("go hall/2.3\ns\n");
    terminal.wait("the entry is told", |s| s.contents().contains("Recorded: hall/2.3 seen."));
    terminal.type_in("q\n");
    assert_eq!(terminal.child.wait().unwrap().exit_code(), 0);
}
