//! `herl reckon setting`: the shortest arrangement of work and drying for a few runs.

use super::super::Verdict;
use super::super::asked::{self, Asked};
use super::super::out::Out;
use super::{Exact, Found, SETTINGS, nodes, number, print, scale, scaled, too_large, unscaled, whole};
use crate::measure::{Fault, Unit};
use crate::reckon::search::{Amiss, Budget};
use crate::reckon::setting::{Arrangement, HANDS, LONGEST, RUNS, Run, Step, WORKS, shortest};
use clap::{Arg, ArgAction, ArgMatches, Command, FromArgMatches};
use rust_decimal::Decimal;
use serde_json::json;

/// Runs of work and drying, hands and rack.
#[derive(Debug, Default)]
pub struct Setting {
    /// The runs, each with the release that stood before it.
    pub runs: Vec<(String, Option<String>)>,
    /// A release after which no run stood.
    pub idle: Option<String>,
    /// Places on the rack.
    pub rack: Option<String>,
    /// Pairs of hands.
    pub hands: Option<String>,
    /// Nodes the search may look at.
    pub nodes: Option<String>,
    /// Print as JSON.
    pub json: bool,
}

/// By hand, for a release belongs to the run that follows it, and derived options know no order.
impl clap::Args for Setting {
    fn augment_args(command: Command) -> Command {
        let option = |name: &'static str, value: &'static str, help: &'static str| {
            Arg::new(name).long(name).value_name(value).allow_hyphen_values(true).value_parser(asked::value).help(help)
        };
        command
            .arg(
                option("run", "TIMES", "A run: minutes of work, of drying, of work ... such as 60,120,30; 12@94,60,14 takes 12 places on the rack")
                    .action(ArgAction::Append)
                    .required(true),
            )
            .arg(option("release", "M", "Minute before which the run that follows cannot begin").action(ArgAction::Append))
            .arg(option("rack", "N", "Places on the rack; without limit where left out"))
            .arg(option("hands", "N", "Pairs of hands; one where left out"))
            .arg(option("nodes", "N", "How many nodes the search may look at"))
            .arg(Arg::new("json").long("json").action(ArgAction::SetTrue).help("Print as JSON"))
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Setting {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut setting = Setting::default();
        setting.update_from_arg_matches(matches)?;
        Ok(setting)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        let texts = |name: &str| -> Vec<(usize, String)> {
            let values = matches.get_many::<String>(name).into_iter().flatten().cloned();
            matches.indices_of(name).into_iter().flatten().zip(values).collect()
        };
        let mut releases = texts("release").into_iter().peekable();
        let mut before = None;
        for (place, run) in texts("run") {
            while let Some((_, release)) = releases.next_if(|(at, _)| *at < place) {
                before = Some(release);
            }
            self.runs.push((run, before.take()));
        }
        self.idle = releases.next().map(|(_, release)| release);
        let one = |name: &str| matches.get_one::<String>(name).cloned();
        (self.rack, self.hands, self.nodes) = (one("rack"), one("hands"), one("nodes"));
        self.json = matches.get_flag("json");
        Ok(())
    }
}

const WORK: Exact = Exact { noun: "minutes of work, over nought", unit: Unit::Minute, over_nought: true, example: "60 or 7.5" };
const TIME: Exact = Exact { noun: "minutes", unit: Unit::Minute, over_nought: false, example: "120 or 7.5" };

pub(in super::super) fn run(given: &Setting, out: &mut Out) -> Verdict {
    let mut asked = Asked::default();
    let found = work(given, &mut asked);
    print(found, &asked, given.json, out)
}

/// A run as given: its places, its times, its release.
struct Told {
    places: u64,
    times: Vec<Decimal>,
    release: Decimal,
}

fn work(given: &Setting, asked: &mut Asked) -> Option<Found> {
    let told: Vec<Option<Told>> = given.runs.iter().map(|(run, release)| told(run, release.as_deref(), asked)).collect();
    if let Some(text) = &given.idle {
        asked.refuse::<()>("--release", text, Fault::new("no run follows this release", 0..text.len()).right("the release before its run"));
    }
    let rack = given.rack.as_ref().map(|text| whole(asked, "--rack", text, text, "places on the rack"));
    let hands = given.hands.as_ref().map_or(Some(1), |text| whole(asked, "--hands", text, text, "pairs of hands"));
    let nodes = nodes(asked, given.nodes.as_ref(), SETTINGS);
    let told = told.into_iter().collect::<Option<Vec<Told>>>()?;
    let (rack, hands, nodes) = (rack.map_or(Some(None), |rack| rack.map(Some))?, hands?, nodes?);
    if given.idle.is_some() {
        return None;
    }
    let scale = scale(&told.iter().flat_map(|run| run.times.iter().copied().chain([run.release])).collect::<Vec<_>>());
    let mut runs = Vec::new();
    for (run, (text, _)) in told.iter().zip(&given.runs) {
        let times = run.times.iter().map(|time| scaled(*time, scale).filter(|time| *time <= LONGEST)).collect::<Option<Vec<u64>>>();
        let (Some(times), Some(release)) = (times, scaled(run.release, scale)) else { return too_large(asked, "--run", text) };
        let steps = times.chunks(2).map(|step| Step { work: step[0], dry: step.get(1).copied().unwrap_or(0) }).collect();
        runs.push(Run { steps, places: run.places, release });
    }
    match shortest(&runs, usize::try_from(hands).unwrap_or(usize::MAX), rack, &mut Budget::of(nodes)) {
        Ok(arrangement) => Some(found(&runs, &arrangement, scale, hands)),
        Err(amiss) => refuse(given, &runs, rack, amiss, asked),
    }
}

/// Reads `[PLACES@]WORK,DRY,WORK ...`.
fn told(text: &str, release: Option<&str>, asked: &mut Asked) -> Option<Told> {
    let (places, times) = match text.split_once('@') {
        Some((places, times)) => (whole(asked, "--run", text, places, "places on the rack, `@` and the times, such as 12@94,60,14"), times),
        None => (Some(1), text),
    };
    if places == Some(0) {
        let fault = Fault::new("a run takes a place at least", 0..text.len());
        return asked.refuse("--run", text, fault.right("places on the rack, `@` and the times, such as 12@94,60,14"));
    }
    let read = |(nth, part): (usize, &str)| if nth % 2 == 0 { WORK.read(part) } else { TIME.read(part) };
    let times: Result<Vec<Decimal>, Fault> = times.split(',').enumerate().map(|part| read(part).map(|given| given.figure)).collect();
    let times = match times {
        Ok(times) => Some(times),
        Err(fault) => asked.refuse("--run", text, Fault { right: Some("minutes of work, of drying, of work ... such as 60,120,30".to_owned()), ..fault }),
    };
    let release = match release.map(|text| (text, TIME.read(text))) {
        None => Some(Decimal::ZERO),
        Some((_, Ok(given))) => Some(given.figure),
        Some((text, Err(fault))) => asked.refuse("--release", text, fault),
    };
    Some(Told { places: places?, times: times?, release: release? })
}

fn refuse(given: &Setting, runs: &[Run], rack: Option<u64>, amiss: Amiss, asked: &mut Asked) -> Option<Found> {
    let text = |nth: usize| given.runs.get(nth).map_or("", |(text, _)| text.as_str());
    match amiss {
        Amiss::DoesNotFit(nth) => {
            let what = format!("it takes {} on the rack, which has {}", places(runs[nth].places), places(rack.unwrap_or(0)));
            asked.refuse("--run", text(nth), Fault::new(what, 0..text(nth).len()).right("no more places than the rack has, or a larger --rack"))
        }
        Amiss::Nothing => asked.refuse("--hands", "0", Fault::new("nothing is done without hands", 0..1).right("one or more")),
        Amiss::TooMany(HANDS) if given.hands.as_ref().and_then(|hands| hands.trim().parse::<usize>().ok()).is_some_and(|hands| hands > HANDS) => {
            let hands = given.hands.clone().unwrap_or_default();
            asked.refuse("--hands", &hands, Fault::new(format!("more than {HANDS} pairs of hands are not taken"), 0..hands.len()))
        }
        Amiss::TooLarge(nth) | Amiss::Nought(nth) | Amiss::Nowhere(nth) => too_large(asked, "--run", text(nth)),
        Amiss::TooMany(_) => {
            let works: usize = runs.iter().map(|run| run.steps.len()).sum();
            let fault = Fault::new(format!("more than {RUNS} runs or {WORKS} works are not taken"), 0..0);
            asked.refuse("--run", &format!("{} runs with {works} works", runs.len()), fault.right("fewer at once: equal flies in one run"))
        }
    }
}

fn places(number: u64) -> String {
    if number == 1 { "1 place".to_owned() } else { format!("{number} places") }
}

/// Minutes, and the same as hours and minutes where they are many.
fn clock(minutes: Decimal) -> String {
    let hours = (minutes / Decimal::from(60)).floor();
    if hours.is_zero() { format!("{minutes} min") } else { format!("{minutes} min ({hours} h {})", (minutes - hours * Decimal::from(60)).normalize()) }
}

fn found(runs: &[Run], arrangement: &Arrangement, scale: u32, hands: u64) -> Found {
    let time = |whole: u64| unscaled(whole, scale);
    let (makespan, bound) = (time(arrangement.makespan), time(arrangement.bound));
    let proof =
        if arrangement.proved { "proved: none is shorter".to_owned() } else { format!("not proved: none is shorter than {bound} min; more --nodes may tell") };
    let mut lines = vec![format!("finished after  {}  ({proof})", clock(makespan)), String::new()];
    let mut works: Vec<(u64, String)> = Vec::new();
    for (nth, run) in runs.iter().enumerate() {
        for (step, start) in arrangement.starts[nth].iter().enumerate() {
            let Step { work, dry } = run.steps[step];
            let end = start + work;
            let by = if hands > 1 { format!(", hands {}", arrangement.hands[nth][step] + 1) } else { String::new() };
            let dry = if dry > 0 { format!(", dry at {}", time(end + dry)) } else { String::new() };
            works.push((*start, format!("{:>6} to {:>6}  run {}, work {}{by}{dry}", time(*start).to_string(), time(end).to_string(), nth + 1, step + 1)));
        }
    }
    works.sort();
    lines.extend(works.into_iter().map(|(_, line)| line));
    lines.push(String::new());
    lines.push("rack    a place is held from the end of the work before until dry, not until the next work begins".to_owned());
    lines.push("method  every order in which works can end, less those another is no later than in anything".to_owned());
    lines.push("source  Brucker, Scheduling Algorithms (5th ed. 2007): time lags, Jackson's bound".to_owned());
    let list = |starts: &Vec<u64>| starts.iter().map(|start| number(time(*start))).collect::<Vec<_>>();
    let json = json!({
        "makespan_min": number(makespan),
        "starts": arrangement.starts.iter().map(list).collect::<Vec<_>>(),
        "hands": arrangement.hands.iter().map(|by| by.iter().map(|hand| hand + 1).collect::<Vec<_>>()).collect::<Vec<_>>(),
        "bound_min": number(bound),
        "proved": arrangement.proved,
    });
    Found { json, lines, verdict: Verdict::Fine }
}
