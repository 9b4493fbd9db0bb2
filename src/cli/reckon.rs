//! `herl reckon`: a single figure: a wound length, a thread's thickness, the length left on a spool; wire by its
//! number and hooks by their X stand in numbered.rs, what a search finds in solved/; how many, how long and how much to
//! order in reckon/. Only X asks for a bench. In words with the formula and its source, or as a flat JSON object with the
//! unit in each name.

mod learn;
mod share;
mod start;
mod stock;

use super::asked::{self, Asked, DENSITY, LENGTH, MASS, SHARE, linear_density, shown};
use super::numbered::{self, Gauge, Longer};
use super::out::Out;
use super::solved::{cuts, packs, setting};
use super::{Surroundings, Verdict};
use crate::measure::{Fault, Unit};
use crate::reckon::thread::{self, Scale};
use crate::reckon::winding;
use clap::Subcommand;
use serde_json::{Value, json};
use std::path::Path;

/// What `herl reckon` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which figure
    #[command(subcommand)]
    pub figure: Figure,
}

/// Which figure.
#[derive(Debug, Subcommand)]
pub enum Figure {
    /// Length of a strand wound on a round core
    Wind(Wind),
    /// Thickness of a thread from its linear density
    Thread(Thread),
    /// Length of thread left on a spool, from its weight
    Spool(Spool),
    /// Thickness of a wire by its gauge number
    Gauge(Gauge),
    /// Shank of a hook that is so many X long or short, by a chart of the bench
    X(Longer),
    /// How many to start so that enough pass
    Start(start::Start),
    /// What a number of flies takes when practice makes each one quicker
    Learn(learn::Learn),
    /// How much to order at a time
    Eoq(stock::Eoq),
    /// At which stock to order again
    Reorder(stock::Reorder),
    /// Cheapest packs for a need
    Packs(packs::Packs),
    /// Fewest pieces of stock for lengths to be cut
    Cuts(cuts::Cuts),
    /// Shortest arrangement of work and drying for a few runs
    Setting(setting::Setting),
}

/// A strand wound on a core that runs evenly from one diameter to another.
#[derive(Debug, clap::Args)]
pub struct Wind {
    /// Diameter of the core where winding begins, such as "0.6 mm"
    #[arg(long, value_name = "D", allow_hyphen_values = true, value_parser = asked::value)]
    pub core_start: String,
    /// Diameter of the core where winding ends
    #[arg(long, value_name = "D", allow_hyphen_values = true, value_parser = asked::value)]
    pub core_end: String,
    /// Length of the winding along the core
    #[arg(long, value_name = "L", allow_hyphen_values = true, value_parser = asked::value)]
    pub span: String,
    /// Diameter of the strand
    #[arg(long, value_name = "D", allow_hyphen_values = true, value_parser = asked::value)]
    pub strand: String,
    /// Turns: a number such as 5, 2½ or "2 1/2", or `touching`
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub turns: String,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// A linear density on one of three scales.
#[derive(Debug, clap::Args)]
#[group(required = true, multiple = false)]
pub struct Density {
    /// Linear density in denier (grams per 9,000 m)
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub denier: Option<String>,
    /// Linear density in dtex (grams per 10,000 m)
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub dtex: Option<String>,
    /// Linear density in tex (grams per 1,000 m)
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub tex: Option<String>,
}

/// A thread's thickness.
#[derive(Debug, clap::Args)]
pub struct Thread {
    /// Its linear density
    #[command(flatten)]
    pub linear: Density,
    /// Density of the fibre; a bare figure is in g/cm3
    #[arg(long, value_name = "G", allow_hyphen_values = true, value_parser = asked::value)]
    pub density: String,
    /// Share of the thread's section that is fibre; 1, a solid round, where left out
    #[arg(long, value_name = "P", allow_hyphen_values = true, value_parser = asked::value)]
    pub packing: Option<String>,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// A spool's thread by its weight.
#[derive(Debug, clap::Args)]
pub struct Spool {
    /// Mass of the spool with its thread, such as "12.3 g"
    #[arg(long, value_name = "G", allow_hyphen_values = true, value_parser = asked::value)]
    pub gross: String,
    /// Mass of the empty spool
    #[arg(long, value_name = "G", allow_hyphen_values = true, value_parser = asked::value)]
    pub tare: String,
    /// Linear density of its thread
    #[command(flatten)]
    pub linear: Density,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// A figure worked out: named figures for JSON, lines for the eye.
pub(super) struct Answer {
    pub(super) json: Value,
    pub(super) lines: Vec<String>,
}

/// Works the figure and prints it, or tells what is wrong with what was given.
pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let mut asked = Asked::default();
    let (answer, as_json) = match &args.figure {
        Figure::Wind(given) => (wind(given, &mut asked), given.json),
        Figure::Thread(given) => (of_thread(given, &mut asked), given.json),
        Figure::Spool(given) => (spool(given, &mut asked), given.json),
        Figure::Gauge(given) => (numbered::gauge(given, &mut asked), given.json),
        Figure::X(given) => (numbered::longer(given, bench, surroundings, &mut asked), given.json),
        Figure::Start(given) => (start::start(given, &mut asked), given.json),
        Figure::Learn(given) => (learn::learn(given, &mut asked), given.json),
        Figure::Eoq(given) => (stock::eoq(given, &mut asked), given.json),
        Figure::Reorder(given) => (stock::reorder(given, &mut asked), given.json),
        Figure::Packs(given) => return packs::run(given, out),
        Figure::Cuts(given) => return cuts::run(given, out),
        Figure::Setting(given) => return setting::run(given, out),
    };
    match answer {
        None => asked.tell(as_json, out),
        Some(answer) => {
            if as_json {
                out.json(&answer.json);
            } else {
                answer.lines.iter().for_each(|line| out.line(line));
            }
            Verdict::Fine
        }
    }
}

fn wind(given: &Wind, asked: &mut Asked) -> Option<Answer> {
    let start = asked.figure("--core-start", &given.core_start, &LENGTH);
    let end = asked.figure("--core-end", &given.core_end, &LENGTH);
    let span = asked.figure("--span", &given.span, &LENGTH);
    let strand = asked.figure("--strand", &given.strand, &LENGTH);
    let stated = asked::turns(asked, "--turns", &given.turns);
    let (start, end, span, strand, stated) = (start?, end?, span?, strand?, stated?);
    let (turns, how) = match stated {
        Some(turns) => (turns, "as stated"),
        None => (touching(given, asked, start, end, span, strand)?, "touching: slope / strand, slope = sqrt(span² + (r1 - r0)²)"),
    };
    let Some(length) = winding::arc(span, start / 2.0, end / 2.0, strand, turns) else {
        return asked.refuse("--turns", &given.turns, Fault::new("the length is too large to reckon", 0..given.turns.len()));
    };
    Some(Answer {
        json: json!({ "turns": turns, "length_mm": length }),
        lines: vec![
            format!("turns   {}  ({how})", shown(turns)),
            format!("length  {} mm", shown(length)),
            String::new(),
            format!("core {} mm to {} mm across, span {} mm, strand {} mm", shown(start), shown(end), shown(span), shown(strand)),
            "formula  integral over u from 0 to 1 of sqrt(span² + (r1 - r0)² + (2 pi n R)²),".to_owned(),
            "         R = r0 + (r1 - r0) u + strand / 2, r0 and r1 half the core's diameters, n turns".to_owned(),
            "source   arc length of a curve: any calculus text, such as Stewart, Calculus, section 13.3".to_owned(),
        ],
    })
}

/// Turns that fill the span, each against the last.
fn touching(given: &Wind, asked: &mut Asked, start: f64, end: f64, span: f64, strand: f64) -> Option<f64> {
    if strand == 0.0 {
        let fault = Fault::new("touching turns of a strand with no width are without number", 0..given.strand.len());
        return asked.refuse("--strand", &given.strand, fault.right("a width over nought, such as 0.1 mm, or a number of turns"));
    }
    if span == 0.0 && start == end {
        let fault = Fault::new("there is no room for touching turns on no span", 0..given.span.len());
        return asked.refuse("--span", &given.span, fault.right("a span over nought, such as 8 mm, or a number of turns in one place"));
    }
    match winding::touching_turns(span, start / 2.0, end / 2.0, strand) {
        // Kept to the bound on turns stated outright: beyond it the strand is a slip of the pen.
        Some(turns) if turns <= asked::TURNS.most => Some(turns),
        _ => {
            let fault = Fault::new(format!("more than {} touching turns would go into the span", asked::TURNS.most), 0..given.strand.len());
            asked.refuse("--strand", &given.strand, fault.right("a wider strand, such as 0.1 mm"))
        }
    }
}

/// The linear density in tex; clap has seen to it that just one is given.
fn tex(given: &Density, asked: &mut Asked) -> Option<f64> {
    let scales = [
        ("--denier", &given.denier, Unit::Denier, Scale::Denier),
        ("--dtex", &given.dtex, Unit::Dtex, Scale::Decitex),
        ("--tex", &given.tex, Unit::Tex, Scale::Tex),
    ];
    let (option, text, unit, scale) = scales.into_iter().find_map(|(option, text, unit, scale)| Some((option, text.as_deref()?, unit, scale)))?;
    let figure = asked.figure(option, text, &linear_density(unit))?;
    scale.to_tex(figure)
}

fn of_thread(given: &Thread, asked: &mut Asked) -> Option<Answer> {
    let tex = tex(&given.linear, asked);
    let density = asked.figure("--density", &given.density, &DENSITY);
    let packing = match &given.packing {
        Some(text) => asked.figure("--packing", text, &SHARE),
        None => Some(1.0),
    };
    let (tex, density, packing) = (tex?, density?, packing?);
    let Some(diameter) = thread::diameter(tex, density, packing) else {
        return asked.refuse("--density", &given.density, Fault::new("the diameter cannot be reckoned from these figures", 0..given.density.len()));
    };
    let (dtex, denier) = (Scale::Decitex.of_tex(tex)?, Scale::Denier.of_tex(tex)?);
    let (standing, remark) = match given.packing {
        Some(_) => ("stated", ""),
        None => ("assumed", "  (assumed: a solid round; a twisted thread packs less and is thicker)"),
    };
    Some(Answer {
        json: json!({ "tex": tex, "dtex": dtex, "denier": denier, "diameter_mm": diameter, "packing": packing, "packing_standing": standing }),
        lines: vec![
            format!("tex       {}", shown(tex)),
            format!("dtex      {}", shown(dtex)),
            format!("denier    {}", shown(denier)),
            format!("diameter  {} mm", shown(diameter)),
            format!("packing   {}{remark}", shown(packing)),
            String::new(),
            format!("density {} g/cm3", shown(density)),
            "formula  diameter = sqrt(4 tex / (pi x 1000 x density x packing)); dtex = 10 tex; denier = 9 tex".to_owned(),
            "source   ISO 1144 (tex: grams per 1,000 m); Morton and Hearle, Physical Properties of Textile Fibres, chapter 3".to_owned(),
        ],
    })
}

fn spool(given: &Spool, asked: &mut Asked) -> Option<Answer> {
    let gross = asked.figure("--gross", &given.gross, &MASS);
    let tare = asked.figure("--tare", &given.tare, &MASS);
    let tex = tex(&given.linear, asked);
    let (gross, tare, tex) = (gross?, tare?, tex?);
    if gross < tare {
        let fault = Fault::new("the full spool is lighter than the empty one", 0..given.gross.len());
        return asked.refuse("--gross", &given.gross, fault.right(format!("at least the tare, {} g", shown(tare))));
    }
    let Some(length) = thread::spool_length(gross, tare, tex) else {
        return asked.refuse("--gross", &given.gross, Fault::new("the length is too large to reckon", 0..given.gross.len()));
    };
    Some(Answer {
        json: json!({ "length_m": length }),
        lines: vec![
            format!("length  {} m", shown(length)),
            String::new(),
            format!("gross {} g, tare {} g, thread {} tex ({} denier)", shown(gross), shown(tare), shown(tex), shown(tex * 9.0)),
            "formula  length = (gross - tare) x 1000 / tex; tex = dtex / 10 = denier / 9".to_owned(),
            "source   ISO 1144 (tex: grams per 1,000 m; denier: grams per 9,000 m)".to_owned(),
        ],
    })
}
