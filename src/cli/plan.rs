//! `herl plan`: an order worked out.

use super::card::schema;
use super::key::{self, Asked};
use super::opened::open;
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::paper::{self, json};
use crate::plan;
use std::path::Path;

/// What `herl plan` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The order's file, or its name on this bench
    #[arg(value_name = "ORDER")]
    pub order: String,
    /// Print the plan as JSON
    #[arg(long)]
    pub json: bool,
    /// Say how the figure with this key was reckoned
    #[arg(long, value_name = "KEY")]
    pub why: Option<String>,
    /// Plan as on this day, YYYY-MM-DD; otherwise as on the day it is
    #[arg(long, value_name = "DAY")]
    pub today: Option<jiff::civil::Date>,
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    planned(args, bench, surroundings, out).unwrap_or_else(|verdict| verdict)
}

fn planned(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Result<Verdict, Verdict> {
    let mut opened = open(bench, surroundings, out)?;
    let order = opened.order(&args.order, surroundings, out)?;
    let given = plan::Given { habits: opened.bench.habits.clone(), today: args.today.or(surroundings.today), ..plan::Given::default() };
    let plan = match plan::work(&order, &opened.bench.dressings, &opened.bench.shelf, &given) {
        Ok(plan) => plan,
        Err(faults) => {
            opened.tell(&faults, out);
            opened.remind(out);
            return Err(Verdict::Findings);
        }
    };
    if let Some(asked) = &args.why {
        let plain = |key: &str| !key.contains("-exact") && !key.starts_with("line ");
        match key::find(&plan.figures, asked, &plain, out)? {
            Asked::Schema => return Ok(schema(args.json, out)),
            Asked::Figure(fig) if args.json => out.json(&json::why(&plan.figures, fig, &|row| json::amount(row, &plan.currency))),
            Asked::Figure(fig) => out.text(&paper::why::of_plan(&plan, fig)),
        }
        return Ok(Verdict::Fine);
    }
    if args.json {
        out.json(&json::plan(&plan));
    } else {
        out.text(&paper::plan::text(&plan));
    }
    opened.tell(&plan.advice, out);
    opened.remind(out);
    Ok(Verdict::Fine)
}
