//! A terminal that reads what the program writes into a screen, and presses keys.

use portable_pty::{Child, CommandBuilder, MasterPty, NativePtySystem, PtySize, PtySystem};
use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// Long enough for a busy machine; a test that passes does not wait for it.
const DEADLINE: Duration = Duration::from_secs(30);

pub(crate) struct Terminal {
    master: Box<dyn MasterPty + Send>,
    child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    written: Vec<u8>,
    modes_before: String,
}

impl Terminal {
    /// Starts `herl` on the demo bench in a terminal of this size.
    pub(crate) fn open(columns: u16, rows: u16, variables: &[(&str, &str)]) -> Self {
        Terminal::on(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"), columns, rows, variables)
    }

    /// Starts `herl` on a bench.
    pub(crate) fn on(bench: &Path, columns: u16, rows: u16, variables: &[(&str, &str)]) -> Self {
        let pair = NativePtySystem::default().openpty(PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
        let modes_before = modes(&*pair.master);
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_herl"));
        command.env_clear();
        for (name, value) in [("TERM", "xterm-256color"), ("LANG", "C.UTF-8")].iter().chain(variables) {
            command.env(name, value);
        }
        command.args(["--bench", bench.to_str().unwrap()]);
        let child = pair.slave.spawn_command(command).unwrap();
        let keys = pair.master.take_writer().unwrap();
        let mut reader = pair.master.try_clone_reader().unwrap();
        let (send, output) = channel();
        std::thread::spawn(move || {
            let mut piece = [0; 4096];
            while let Ok(count) = reader.read(&mut piece) {
                if count == 0 || send.send(piece[..count].to_vec()).is_err() {
                    return;
                }
            }
        });
        Terminal { master: pair.master, child, keys, output, screen: vt100::Parser::new(cells(rows), cells(columns), 0), written: Vec::new(), modes_before }
    }

    /// Reads on until the screen is as wished; gives its text.
    pub(crate) fn wait_for(&mut self, what: &str, wished: impl Fn(&str) -> bool) -> String {
        let until = Instant::now() + DEADLINE;
        loop {
            let text = self.screen.screen().contents();
            if wished(&text) {
                return text;
            }
            if !self.take(until.saturating_duration_since(Instant::now())) {
                panic!("waited in vain for {what}; the screen is\n{text}");
            }
        }
    }

    /// Takes a piece of output; false when none came in time.
    fn take(&mut self, patience: Duration) -> bool {
        match self.output.recv_timeout(patience) {
            Ok(piece) => {
                self.screen.process(&piece);
                self.written.extend(piece);
                true
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => false,
        }
    }

    /// Reads on until nothing comes for a second; gives how many bytes came before.
    pub(crate) fn quiet(&mut self) -> usize {
        let before = self.written.len();
        while self.take(Duration::from_secs(1)) {}
        self.written.len() - before
    }

    pub(crate) fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    pub(crate) fn resize(&mut self, columns: u16, rows: u16) {
        self.master.resize(PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
        self.screen.screen_mut().set_size(cells(rows), cells(columns));
    }

    pub(crate) fn signal(&mut self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args([&format!("-{name}"), &id]).status().unwrap().success());
    }

    /// Waits for the end of the program; gives its exit code.
    pub(crate) fn ended(&mut self) -> u32 {
        let until = Instant::now() + DEADLINE;
        while Instant::now() < until {
            // What it writes last must be taken, or it could not end.
            self.take(Duration::from_millis(20));
            if let Some(status) = self.child.try_wait().unwrap() {
                while self.take(Duration::from_millis(200)) {}
                return status.exit_code();
            }
        }
        panic!("the program does not end; the screen is\n{}", self.screen.screen().contents());
    }

    /// Ends the program as a power cut would.
    pub(crate) fn cut_off(&mut self) {
        self.signal("KILL");
        self.child.wait().unwrap();
    }

    /// Takes what the program wrote before its end.
    pub(crate) fn take_rest(&mut self) {
        while self.take(DEADLINE) {}
    }

    /// Everything the program wrote.
    pub(crate) fn written(&self) -> &[u8] {
        &self.written
    }

    /// The terminal's modes: raw or not, echo or not.
    pub(crate) fn modes(&self) -> String {
        modes(&*self.master)
    }

    /// The alternate screen is left, the cursor shown, keys and pasting are as they were.
    pub(crate) fn assert_restored(&self) {
        let screen = self.screen.screen();
        assert!(!screen.alternate_screen(), "the alternate screen is left");
        assert!(!screen.hide_cursor(), "the cursor is shown");
        assert!(!screen.bracketed_paste(), "pasting is as it was");
        assert_eq!(self.modes(), self.modes_before, "the terminal's modes are as they were");
    }

    /// Ticks of the processor's clock the program has used.
    #[cfg(target_os = "linux")]
    pub(crate) fn processor_ticks(&self) -> u64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.process_id().unwrap())).unwrap();
        // proc(5): fields 14 and 15 are user and system time; the name, in brackets, may hold spaces.
        let fields: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
        fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn cells(number: u16) -> NonZeroU16 {
    NonZeroU16::new(number).unwrap()
}

fn modes(master: &dyn MasterPty) -> String {
    format!("{:?}", master.get_termios())
}
