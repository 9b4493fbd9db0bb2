//! Into the terminal and out of it again, whatever happens: the alternate screen, raw keys, one queue, and no work while
//! nothing happens.
//!
//! The screen is painted by comparing it with the one before, through ratatui's backend alone: its `Terminal` asks the
//! terminal where the cursor is when it clears, and would wait for an answer that the keyboard's thread reads.

use super::app::App;
use super::fulfil::Fulfil;
use super::keys::Key;
use super::queue::{Command, Happened, Now, Whole};
use super::{Desk, Look};
use crossterm::event::{self, DisableBracketedPaste, EnableBracketedPaste, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode, window_size};
use crossterm::{cursor, execute};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::io::{self, Stdout, Write};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Once};
use std::thread;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Reads the whole of a bench of which only a part is on the desk.
pub type Rest = Box<dyn FnOnce() -> Desk + Send>;

/// Runs the program in the terminal until the dresser leaves it; `bench` is the bench's folder, `rest` reads what is not
/// on the desk yet while the first screen is looked at. Gives what could not be
/// done while leaving, if anything.
///
/// # Errors
/// When the terminal cannot be set up or written to. It is set right again in any case.
pub fn run(desk: Desk, look: Look, bench: PathBuf, rest: Option<Rest>) -> io::Result<Option<String>> {
    let (send, receive) = channel();
    watch_signals(&send)?;
    let _restore = Entered::enter()?;
    let bell = look.bell;
    let mut running = Running { app: App::new(desk, look), fulfil: Fulfil::new(bench), clock: Clock::new(), screen: Screen::new(), bell };
    running.show()?;
    // Only now: looking for the zone reads files, and the first screen tells no time of day.
    running.clock.zone = TimeZone::try_system().ok();
    if let Some(rest) = rest {
        let send = send.clone();
        // Nobody listens any more where the program was left meanwhile.
        thread::spawn(move || send.send(Happened::Read(Whole(Arc::new(rest())))));
    }
    if running.take(Happened::Shown) {
        return Ok(None);
    }
    running.show()?;
    read_keys(send);
    running.follow(&receive)?;
    Ok(running.app.failed().map(str::to_owned))
}

/// The state, what it works on, and what it is shown on.
struct Running {
    app: App,
    fulfil: Fulfil,
    clock: Clock,
    screen: Screen,
    /// The dresser wants a bell.
    bell: bool,
}

impl Running {
    fn show(&mut self) -> io::Result<()> {
        self.screen.show(&mut self.app, &self.clock)
    }

    /// Takes happenings until one of them ends the program. All that wait are taken before the screen is painted again.
    fn follow(&mut self, receive: &Receiver<Happened>) -> io::Result<()> {
        while let Some(first) = self.next(receive) {
            for happened in [first].into_iter().chain(receive.try_iter()) {
                if self.take(happened) {
                    return Ok(());
                }
            }
            self.show()?;
        }
        Ok(())
    }

    /// Waits for the next happening, or until a time that is shown has moved on; `None` where nothing can happen any more.
    fn next(&self, receive: &Receiver<Happened>) -> Option<Happened> {
        let Some(due) = self.app.due() else { return receive.recv().ok() };
        match receive.recv_timeout(Duration::from_millis(due)) {
            Ok(happened) => Some(happened),
            Err(RecvTimeoutError::Timeout) => Some(Happened::Due),
            Err(RecvTimeoutError::Disconnected) => None,
        }
    }

    /// Takes one happening, does what is asked for and takes what comes of it; true when the program is to be left.
    fn take(&mut self, happened: Happened) -> bool {
        let now = self.clock.now();
        let mut commands = self.app.update(happened, now);
        while !commands.is_empty() {
            let command = commands.remove(0);
            match command {
                Command::Leave => return true,
                Command::Ring => ring(self.bell, self.screen.backend.by_ref()),
                _ => {}
            }
            if let Some(done) = self.fulfil.carry_out(command) {
                // What follows from it comes before what was still to be done.
                commands.splice(0..0, self.app.update(done, now));
            }
        }
        false
    }
}

/// Rings the terminal's bell where a bell is wanted: BEL of ECMA-48, 8.3.3. It is no sign on the screen, so nothing needs painting again. A
/// terminal that cannot be written to shows it at the next frame.
fn ring(wanted: bool, terminal: &mut impl Write) {
    if wanted {
        let _ = terminal.write_all(b"\x07").and_then(|()| terminal.flush());
    }
}

/// The clocks.
struct Clock {
    begun: Instant,
    /// By which the clock on the wall goes; `None` until it was looked for, and where there is none to be found.
    zone: Option<TimeZone>,
}

impl Clock {
    fn new() -> Self {
        Clock { begun: Instant::now(), zone: None }
    }

    fn now(&self) -> Now {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let steady = self.begun.elapsed().as_millis();
        let utc_ms = i64::try_from(since.as_millis()).unwrap_or(i64::MAX);
        Now { utc_ms, steady_ms: u64::try_from(steady).unwrap_or(u64::MAX), offset_s: self.zone.as_ref().and_then(|zone| offset(zone, utc_ms)) }
    }
}

/// Seconds the clocks of a zone are ahead of UTC at this time, if the zone is known.
fn offset(zone: &TimeZone, utc_ms: i64) -> Option<i32> {
    let at = Timestamp::from_millisecond(utc_ms).ok()?;
    (!zone.is_unknown()).then(|| zone.to_offset(at).seconds())
}

/// What the terminal shows now.
struct Screen {
    backend: CrosstermBackend<Stdout>,
    shown: Buffer,
}

impl Screen {
    fn new() -> Self {
        Screen { backend: CrosstermBackend::new(io::stdout()), shown: Buffer::empty(Rect::ZERO) }
    }

    fn show(&mut self, app: &mut App, clock: &Clock) -> io::Result<()> {
        let size = self.backend.size()?;
        let area = Rect::new(0, 0, size.width, size.height);
        if self.shown.area != area {
            app.update(Happened::Resized(area.width, area.height), clock.now());
            if let Some(shape) = cell_shape() {
                app.cell_is(shape);
            }
            self.backend.clear()?;
            self.shown = Buffer::empty(area);
        }
        let mut next = Buffer::empty(area);
        app.draw(&mut next);
        self.backend.draw(self.shown.diff(&next).into_iter())?;
        Backend::flush(&mut self.backend)?;
        self.shown = next;
        Ok(())
    }
}

/// A cell's width over its height, where the terminal tells its size in pixels.
fn cell_shape() -> Option<f64> {
    let told = window_size().ok()?;
    let all = [told.width, told.height, told.columns, told.rows];
    let [width, height, columns, rows] = all.map(f64::from);
    (!all.contains(&0)).then(|| (width / columns) / (height / rows))
}

/// The terminal while the program has it; dropped, it is as it was.
struct Entered;

impl Entered {
    fn enter() -> io::Result<Self> {
        static HOOK: Once = Once::new();
        HOOK.call_once(|| {
            let before = std::panic::take_hook();
            // The message must come after the screen it would be lost on.
            std::panic::set_hook(Box::new(move |what| {
                restore();
                before(what);
            }));
        });
        enable_raw_mode()?;
        let entered = Entered;
        execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste, cursor::Hide)?;
        Ok(entered)
    }
}

impl Drop for Entered {
    fn drop(&mut self) {
        restore();
    }
}

/// Sets the terminal right; where it has gone there is nothing to set right.
fn restore() {
    let _ = execute!(io::stdout(), DisableBracketedPaste, LeaveAlternateScreen, cursor::Show);
    let _ = disable_raw_mode();
    let _ = io::stdout().flush();
}

/// Sends keys, pasted texts and new sizes as they come. The thread ends with the program.
fn read_keys(send: Sender<Happened>) {
    thread::spawn(move || {
        loop {
            let happened = match event::read() {
                Ok(Event::Key(event)) => key(event).map(Happened::Pressed),
                Ok(Event::Paste(text)) => Some(Happened::Pasted(text)),
                Ok(Event::Resize(columns, rows)) => Some(Happened::Resized(columns, rows)),
                Ok(_) => None,
                Err(_) => Some(Happened::HungUp),
            };
            let ended = happened == Some(Happened::HungUp);
            if happened.is_some_and(|happened| send.send(happened).is_err()) || ended {
                return;
            }
        }
    });
}

fn key(event: KeyEvent) -> Option<Key> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    let control = event.modifiers.contains(KeyModifiers::CONTROL);
    Some(match event.code {
        KeyCode::Char(letter) if control => Key::Control(letter.to_ascii_lowercase()),
        KeyCode::Char(_) if event.modifiers.contains(KeyModifiers::ALT) => return None,
        KeyCode::Char(letter) => Key::Char(letter),
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Escape,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Insert => Key::Insert,
        KeyCode::Delete => Key::Delete,
        // What xterm's entry in terminfo calls kf13 to kf24 comes as the first twelve with Shift, and is not told apart.
        KeyCode::F(nth @ 1..=12) if event.modifiers.contains(KeyModifiers::SHIFT) => Key::F(nth + 12),
        KeyCode::F(nth @ 1..=24) => Key::F(nth),
        _ => return None,
    })
}

/// Being asked to end is leaving as `q` does. A new size of the window is watched for here too, from before the first
/// frame on: the keyboard's reader hears of it only once it reads.
#[cfg(unix)]
fn watch_signals(send: &Sender<Happened>) -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGWINCH};
    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT, SIGWINCH])?;
    let send = send.clone();
    thread::spawn(move || {
        for signal in signals.forever() {
            let happened = match signal {
                SIGWINCH => crossterm::terminal::size().map(|(columns, rows)| Happened::Resized(columns, rows)).ok(),
                _ => Some(Happened::HungUp),
            };
            if happened.is_some_and(|happened| send.send(happened).is_err()) {
                return;
            }
        }
    });
    Ok(())
}

/// Elsewhere the system ends the program by itself.
#[cfg(not(unix))]
fn watch_signals(_: &Sender<Happened>) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn the_bell_is_one_sign_and_only_where_it_is_wanted() {
        let mut terminal = Vec::new();
        ring(false, &mut terminal);
        assert!(terminal.is_empty(), "nobody asked for a bell");
        ring(true, &mut terminal);
        assert_eq!(terminal, [7]);
    }

    #[test]
    fn a_zone_tells_its_offset_with_summer_time() {
        // POSIX.1-2024, 8.3, TZ: offsets there count west of Greenwich.
        let zone = TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap();
        // 2026-01-01 12:00 UTC and 2026-07-01 12:00 UTC.
        assert_eq!([1_767_268_800_000, 1_782_907_200_000].map(|at| offset(&zone, at)), [Some(3600), Some(7200)]);
        assert_eq!(offset(&TimeZone::posix("NST3:30").unwrap(), 0), Some(-12_600));
        assert_eq!((offset(&TimeZone::unknown(), 0), offset(&zone, i64::MAX)), (None, None));
    }

    #[test]
    fn every_key_of_a_pedal_has_its_own_name() {
        let pressed = |code, modifiers| key(KeyEvent::new(code, modifiers));
        let mut names = BTreeMap::new();
        for code in (1..=24).map(KeyCode::F).chain([KeyCode::Insert, KeyCode::Delete, KeyCode::PageDown, KeyCode::PageUp]) {
            let key = pressed(code, KeyModifiers::NONE).unwrap();
            assert_eq!(Key::read(&key.to_string()), Some(key));
            assert_eq!(names.insert(key.to_string(), code), None);
        }
        assert_eq!(pressed(KeyCode::F(1), KeyModifiers::SHIFT), Key::read("F13"));
        assert_eq!(pressed(KeyCode::F(25), KeyModifiers::NONE), None);
    }
}
