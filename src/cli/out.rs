//! The one place that prints. What it is given may come from a dresser's file or from the command line, so
//! that nothing which commands a terminal gets through; and when the reader at the other end of a pipe has
//! gone (`herl ... | head`), it falls silent instead of failing.

use super::Verdict;
use crate::measure::Words;
use serde_json::Value;
use std::io::{self, BufWriter, ErrorKind, Write};
use std::process::ExitCode;

/// Standard output and standard error, made safe.
pub struct Out {
    output: Channel,
    trouble: Channel,
}

impl Out {
    /// The program's own standard output and standard error.
    pub fn standard() -> Self {
        Out::new(Box::new(BufWriter::new(io::stdout())), Box::new(io::stderr()))
    }

    /// Prints to these instead.
    pub fn new(output: Box<dyn Write>, trouble: Box<dyn Write>) -> Self {
        Out { output: Channel::new(output), trouble: Channel::new(trouble) }
    }

    /// One line to standard output; a line end within it becomes a space.
    pub fn line(&mut self, line: &str) {
        self.output.line(line);
    }

    /// Several lines to standard output.
    pub fn text(&mut self, text: &str) {
        text.lines().for_each(|line| self.output.line(line));
    }

    /// A JSON document to standard output. Characters that could command a terminal are written as escapes,
    /// so that a reader gets them back whole.
    pub fn json(&mut self, value: &Value) {
        let text = serde_json::to_string_pretty(value).unwrap_or_default();
        text.lines().for_each(|line| self.output.write(&escaped(line)));
    }

    /// Rows of CSV to standard output: their lines end with CR LF (RFC 4180).
    pub fn csv(&mut self, text: &str) {
        text.split_terminator("\r\n").for_each(|line| self.output.ended_with(Words::new(line).as_str(), "\r\n"));
    }

    /// Several lines to standard error.
    pub fn trouble(&mut self, text: &str) {
        text.lines().for_each(|line| self.trouble.line(line));
    }

    /// Writes out what is still held back and gives the exit code: the verdict's own, or 1 where the output could
    /// not be written. A reader who has gone away is no fault and leaves the verdict as it is.
    pub fn finish(mut self, verdict: Verdict) -> ExitCode {
        self.output.flush();
        if let Some(error) = self.output.fault.take() {
            self.trouble(&format!("herl: the output could not be written: {error}"));
            return ExitCode::from(Verdict::Findings.code());
        }
        ExitCode::from(verdict.code())
    }
}

/// One stream, with what became of it.
struct Channel {
    to: Box<dyn Write>,
    /// Nothing more is written: the reader has gone, or writing failed.
    ended: bool,
    fault: Option<io::Error>,
}

impl Channel {
    fn new(to: Box<dyn Write>) -> Self {
        Channel { to, ended: false, fault: None }
    }

    fn line(&mut self, line: &str) {
        self.write(Words::new(line).as_str());
    }

    fn write(&mut self, safe: &str) {
        self.ended_with(safe, "\n");
    }

    fn ended_with(&mut self, safe: &str, end: &str) {
        if !self.ended {
            let done = write!(self.to, "{safe}{end}");
            self.note(done);
        }
    }

    fn flush(&mut self) {
        if !self.ended {
            let done = self.to.flush();
            self.note(done);
        }
    }

    fn note(&mut self, done: io::Result<()>) {
        if let Err(error) = done {
            self.ended = true;
            self.fault = Some(error).filter(|error| error.kind() != ErrorKind::BrokenPipe);
        }
    }
}

/// A line of JSON in which each character that [`Words`] would not let through is an escape. Such a character
/// can stand within a JSON string only, where the escape means the same.
fn escaped(line: &str) -> String {
    let mut safe = String::with_capacity(line.len());
    let (mut raw, mut units) = ([0; 4], [0; 2]);
    for c in line.chars() {
        let text: &str = c.encode_utf8(&mut raw);
        if Words::new(text).as_str() == text {
            safe.push(c);
        } else {
            for unit in c.encode_utf16(&mut units) {
                safe.push_str(&format!("\\u{unit:04x}"));
            }
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use std::sync::{Arc, Mutex};

    /// A stream that fails as told after so many writes.
    struct Failing(ErrorKind);

    impl Write for Failing {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(self.0.into())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[derive(Clone, Default)]
    struct Kept(Arc<Mutex<Vec<u8>>>);

    impl Kept {
        fn text(&self) -> String {
            String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
        }
    }

    impl Write for Kept {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.lock().unwrap().write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn nothing_that_commands_a_terminal_is_printed_and_json_keeps_it_whole() {
        let (output, trouble) = (Kept::default(), Kept::default());
        let mut out = Out::new(Box::new(output.clone()), Box::new(trouble.clone()));
        let hostile = "a\u{1b}[2J\u{202e}b\u{9b}c\u{7f}d\u{feff}½";
        out.line(hostile);
        out.trouble(hostile);
        out.json(&json!({ hostile: hostile }));
        out.finish(Verdict::Fine);
        for text in [output.text(), trouble.text()] {
            assert!(text.lines().all(|line| Words::new(line).as_str() == line), "{text:?}");
        }
        let printed: Value = serde_json::from_str(output.text().split_once('\n').unwrap().1).unwrap();
        assert_eq!(printed[hostile], hostile);
    }

    #[test]
    fn a_reader_who_has_gone_is_no_fault_but_a_full_disk_is() {
        for (kind, verdict, code) in
            [(ErrorKind::BrokenPipe, Verdict::Fine, 0), (ErrorKind::BrokenPipe, Verdict::Findings, 1), (ErrorKind::StorageFull, Verdict::Fine, 1)]
        {
            let trouble = Kept::default();
            let mut out = Out::new(Box::new(Failing(kind)), Box::new(trouble.clone()));
            out.line("one");
            out.line("two");
            assert_eq!(out.finish(verdict), ExitCode::from(code));
            assert_eq!(trouble.text().is_empty(), kind == ErrorKind::BrokenPipe, "{}", trouble.text());
        }
    }
}
