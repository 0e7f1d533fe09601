//! The real program in a real pseudo-terminal: keys go in as bytes, what comes out is kept by a terminal emulator. Waiting
//! is for what the screen shows, never for a time. Holds no test.
#![allow(dead_code)]

use std::io::{Read as _, Write};
use std::num::NonZeroU16;
use std::sync::{Arc, Condvar, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};

use super::place::{PATIENCE, PROGRAM, Place};

/// Longer than the time within which the same key again is taken for the glove.
const UNHURRIED: Duration = Duration::from_millis(headround::tui::keys::DOUBLE_STRIKE_MS as u64 + 30);

struct Shown {
    parser: vt100::Parser,
    raw: Vec<u8>,
}

type Shared = Arc<(Mutex<Shown>, Condvar)>;

/// A terminal with the program in it.
pub struct Term {
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    /// Held open so that the line's settings can be looked at once the program has ended.
    _slave: Box<dyn SlavePty + Send>,
    writer: Box<dyn Write + Send>,
    shown: Shared,
    struck: usize,
    last: Option<Vec<u8>>,
    /// How many bytes had come when the last key was struck.
    came: usize,
    patience: Duration,
}

fn size(columns: u16, rows: u16) -> PtySize {
    PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }
}

fn some(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).expect("a size")
}

impl Term {
    /// The program with arguments, in a terminal of a size.
    pub fn start(place: &Place, arguments: &[&str], columns: u16, rows: u16) -> Self {
        Self::spawn(place, ".", arguments, (columns, rows), &[])
    }

    /// The same in a folder of the place.
    pub fn start_in(place: &Place, folder: &str, arguments: &[&str], columns: u16, rows: u16) -> Self {
        Self::spawn(place, folder, arguments, (columns, rows), &[])
    }

    /// The same with further variables.
    pub fn start_with(place: &Place, arguments: &[&str], columns: u16, rows: u16, more: &[(&str, &str)]) -> Self {
        Self::spawn(place, ".", arguments, (columns, rows), more)
    }

    fn spawn(
        place: &Place,
        folder: &str,
        arguments: &[&str],
        (columns, rows): (u16, u16),
        more: &[(&str, &str)],
    ) -> Self {
        let pair = native_pty_system().openpty(size(columns, rows)).expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(PROGRAM);
        command.args(arguments);
        command.env_clear();
        for (name, value) in place.environment() {
            command.env(name, value);
        }
        for (name, value) in more {
            command.env(name, value);
        }
        command.cwd(place.path(folder));
        let child = pair.slave.spawn_command(command).expect("the program starts");
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let writer = pair.master.take_writer().expect("a writer");
        let parser = vt100::Parser::new(some(rows), some(columns), 0);
        let shown: Shared = Arc::new((Mutex::new(Shown { parser, raw: Vec::new() }), Condvar::new()));
        let sink = Arc::clone(&shown);
        // It ends with the terminal; a test does not wait for it.
        std::thread::spawn(move || {
            let mut buffer = [0; 1 << 14];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 {
                    return;
                }
                let mut shown = sink.0.lock().expect("a lock");
                shown.parser.process(&buffer[..n]);
                shown.raw.extend_from_slice(&buffer[..n]);
                sink.1.notify_all();
            }
        });
        Self {
            child,
            master: pair.master,
            _slave: pair.slave,
            writer,
            shown,
            struck: 0,
            last: None,
            came: 0,
            patience: PATIENCE,
        }
    }

    /// With another patience.
    pub fn patient(mut self, patience: Duration) -> Self {
        self.patience = patience;
        self
    }

    /// How many keys were struck.
    pub const fn struck(&self) -> usize {
        self.struck
    }

    /// The program's process number.
    pub fn pid(&self) -> u32 {
        self.child.process_id().expect("a process")
    }

    /// Looks at the screen.
    pub fn look<T>(&self, with: impl FnOnce(&vt100::Screen) -> T) -> T {
        with(self.shown.0.lock().expect("a lock").parser.screen())
    }

    /// The screen as text.
    pub fn text(&self) -> String {
        self.look(vt100::Screen::contents)
    }

    /// Everything that came out of the program so far.
    pub fn raw(&self) -> Vec<u8> {
        self.shown.0.lock().expect("a lock").raw.clone()
    }

    fn wait(&self, what: &str, mut holds: impl FnMut(&Shown) -> bool) -> Result<(), String> {
        let until = Instant::now() + self.patience;
        let mut shown = self.shown.0.lock().expect("a lock");
        loop {
            if holds(&shown) {
                return Ok(());
            }
            let now = Instant::now();
            if now >= until {
                return Err(format!("not within {:?}: {what}\n{}", self.patience, shown.parser.screen().contents()));
            }
            shown = self.shown.1.wait_timeout(shown, until - now).expect("a lock").0;
        }
    }

    /// Waits until the screen shows a text.
    ///
    /// # Errors
    /// It did not in time; the screen stands in the sentence.
    pub fn wait_for(&self, text: &str) -> Result<(), String> {
        self.wait(text, |shown| shown.parser.screen().contents().contains(text))
    }

    /// Waits until the screen shows a text, or fails the test.
    #[track_caller]
    pub fn see(&mut self, text: &str) -> &mut Self {
        if let Err(why) = self.wait_for(text) {
            panic!("{why}");
        }
        self
    }

    /// Waits until the screen no longer shows a text, or fails the test.
    #[track_caller]
    pub fn unsee(&mut self, text: &str) -> &mut Self {
        if let Err(why) = self.wait(text, |shown| !shown.parser.screen().contents().contains(text)) {
            panic!("still there: {why}");
        }
        self
    }

    /// Strikes keys one after the other, as the footers write them: `p1t Right Space`. A word that is a key's name is
    /// that key, any other word is its characters.
    #[track_caller]
    pub fn keys(&mut self, written: &str) -> &mut Self {
        for key in read_keys(written) {
            self.strike(&key);
        }
        self
    }

    /// Strikes characters as they are, spaces too.
    #[track_caller]
    pub fn typed(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            self.strike(c.to_string().as_bytes());
        }
        self
    }

    /// One key. The same key again waits until the first was answered, and then longer than a glove's double strike; a
    /// key behind Esc waits for the answer too, or the two would be read as a chord.
    #[track_caller]
    fn strike(&mut self, bytes: &[u8]) {
        let same = self.last.as_deref() == Some(bytes);
        if same || self.last.as_deref() == Some(b"\x1b") {
            self.answered();
        }
        if same {
            std::thread::sleep(UNHURRIED);
        }
        self.struck += 1;
        self.send(bytes);
        self.last = Some(bytes.to_vec());
    }

    /// Waits until something was drawn since the last key: every key that reaches the program is answered by a drawing.
    #[track_caller]
    fn answered(&self) {
        let came = self.came;
        if let Err(why) = self.wait("an answer to the last key", |shown| shown.raw.len() > came) {
            panic!("{why}");
        }
    }

    /// Sends bytes at once, as they are.
    pub fn send(&mut self, bytes: &[u8]) {
        self.came = self.shown.0.lock().expect("a lock").raw.len();
        self.writer.write_all(bytes).expect("the terminal takes keys");
        self.writer.flush().expect("the terminal takes keys");
    }

    /// Gives the terminal another size.
    pub fn resize(&mut self, columns: u16, rows: u16) -> &mut Self {
        self.shown.0.lock().expect("a lock").parser.set_size(some(rows), some(columns));
        self.master.resize(size(columns, rows)).expect("a terminal that can be resized");
        self
    }

    /// Ends the process at once, as a power cut would.
    pub fn kill_9(&mut self) {
        super::place::signal(self.pid(), "KILL");
        self.ended();
    }

    /// Waits until the program has ended; its exit code, or 128 and more where a signal ended it.
    #[track_caller]
    pub fn ended(&mut self) -> u32 {
        let until = Instant::now() + self.patience;
        loop {
            if let Some(status) = self.child.try_wait().expect("a process") {
                return if status.signal().is_some() { 128 } else { status.exit_code() };
            }
            assert!(Instant::now() < until, "it did not end within {:?}\n{}", self.patience, self.text());
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// What is not as a shell wants to find its terminal; empty where all is well.
    pub fn unrestored(&self) -> Vec<String> {
        // The last bytes may still be on their way through the emulator.
        let screen_is_back = |s: &vt100::Screen| !s.alternate_screen() && !s.hide_cursor() && !s.bracketed_paste();
        let mut wrong = Vec::new();
        if self.wait("the terminal to be given back", |shown| screen_is_back(shown.parser.screen())).is_err() {
            self.look(|s| {
                for (there, what) in [
                    (s.alternate_screen(), "alternate screen"),
                    (s.hide_cursor(), "hidden cursor"),
                    (s.bracketed_paste(), "bracketed paste"),
                ] {
                    if there {
                        wrong.push(what.to_owned());
                    }
                }
            });
        }
        let (echo, lines) = self.line_modes();
        if !echo {
            wrong.push("no echo".to_owned());
        }
        if !lines {
            wrong.push("no line editing".to_owned());
        }
        wrong
    }

    /// Whether the line echoes what is typed and whether it is read line by line, as the system has it.
    pub fn line_modes(&self) -> (bool, bool) {
        let modes = self.master.get_termios().expect("the line's settings");
        let words = format!("{:?}", modes.local_flags);
        let has = |flag: &str| words.split(|c: char| !c.is_alphanumeric()).any(|w| w == flag);
        (has("ECHO"), has("ICANON"))
    }
}

impl Drop for Term {
    fn drop(&mut self) {
        if self.child.try_wait().is_ok_and(|status| status.is_none())
            && let Some(pid) = self.child.process_id()
        {
            super::place::signal(pid, "KILL");
            let _ = self.child.wait();
        }
    }
}

/// Keys from their written form, as the bytes a terminal sends.
fn read_keys(written: &str) -> Vec<Vec<u8>> {
    let named = |word: &str| {
        Some(match word {
            "Space" => " ",
            "Enter" => "\r",
            "Esc" => "\x1b",
            "Tab" => "\t",
            "Backspace" => "\x7f",
            "Up" => "\x1b[A",
            "Down" => "\x1b[B",
            "Right" => "\x1b[C",
            "Left" => "\x1b[D",
            "Home" => "\x1b[H",
            "End" => "\x1b[F",
            "PgUp" => "\x1b[5~",
            "PgDn" => "\x1b[6~",
            _ => return None,
        })
    };
    let mut keys = Vec::new();
    for word in written.split_whitespace() {
        match named(word) {
            Some(key) => keys.push(key.as_bytes().to_vec()),
            None => keys.extend(word.chars().map(|c| c.to_string().into_bytes())),
        }
    }
    keys
}
