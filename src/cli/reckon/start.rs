//! `herl reckon start`: how many to start so that enough pass.

use super::Answer;
use super::share::{REJECT, SURE, count, sure};
use crate::cli::asked::{self, Asked, quoted, shown};
use crate::measure::Fault;
use crate::reckon::allowance::{self, History};
use serde_json::json;

/// How many to start so that enough pass.
#[derive(Debug, clap::Args)]
pub struct Start {
    /// How many must pass: a number, or such as "3 dozen"
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub deliver: String,
    /// The share of rejects, such as 0.05 or "5 %"
    #[arg(long, value_name = "R", allow_hyphen_values = true, value_parser = asked::value, conflicts_with_all = ["rejected", "of"], required_unless_present = "rejected")]
    pub reject: Option<String>,
    /// Instead of a share: how many were rejected
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value, requires = "of")]
    pub rejected: Option<String>,
    /// ... of how many made before
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value, requires = "rejected")]
    pub of: Option<String>,
    /// How sure it must be that enough pass, such as 0.95 or "95 %"
    #[arg(long, value_name = "C", allow_hyphen_values = true, value_parser = asked::value)]
    pub sure: String,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// Any share of rejects is as likely as any other before the first is made.
const PRIOR: f64 = 1.0;

pub(super) fn start(given: &Start, asked: &mut Asked) -> Option<Answer> {
    let wanted = count(asked, "--deliver", &given.deliver, 1);
    match (&given.reject, &given.rejected, &given.of) {
        (Some(reject), ..) => of_share(given, reject, wanted, asked),
        (None, Some(rejected), Some(of)) => of_history(given, [rejected, of], wanted, asked),
        // clap has seen to it that one or the other is given.
        _ => None,
    }
}

/// With a share of rejects that is known.
fn of_share(given: &Start, text: &str, wanted: Option<u64>, asked: &mut Asked) -> Option<Answer> {
    let reject = asked.figure("--reject", text, &REJECT);
    if reject == Some(1.0) {
        let fault = Fault::new("of rejects alone none ever passes", 0..text.len());
        asked.refuse::<()>("--reject", text, fault.right("a share under 1, such as 0.05 or 5 %"));
    }
    // Where none is rejected, all pass for sure.
    let sure = if reject == Some(0.0) { asked.figure("--sure", &given.sure, &SURE) } else { sure(asked, "--sure", &given.sure) };
    let (wanted, reject, sure) = (wanted?, reject.filter(|reject| *reject < 1.0)?, sure?);
    let Some(found) = allowance::to_start(wanted, reject, sure) else {
        let fault = Fault::new("so many would have to be started that they cannot be counted", 0..text.len());
        return asked.refuse("--reject", text, fault.right("fewer to deliver, or a smaller share"));
    };
    let lines = vec![
        format!("deliver {wanted}, reject {}, sure {}: {} pass on the average", shown(reject), shown(sure), shown(found.start as f64 * (1.0 - reject))),
        "formula  the least n with P(binomial(n, 1 - reject) >= deliver) >= sure".to_owned(),
        "source   reject allowance: Bowker and Lieberman, Engineering Statistics".to_owned(),
    ];
    Some(answer(wanted, found, lines))
}

/// With rejects counted on earlier pieces: the fewer they were, the wider.
fn of_history(given: &Start, [rejected, of]: [&String; 2], wanted: Option<u64>, asked: &mut Asked) -> Option<Answer> {
    let made = count(asked, "--of", of, 0);
    let bad = count(asked, "--rejected", rejected, 0);
    let sure = sure(asked, "--sure", &given.sure);
    let (wanted, bad, made, sure) = (wanted?, bad?, made?, sure?);
    if bad > made {
        let fault = Fault::new(format!("more were rejected than the {} that were made", quoted(of)), 0..rejected.len());
        return asked.refuse("--rejected", rejected, fault.right(format!("at most {made}")));
    }
    let history = History { rejected: bad, made, prior: PRIOR };
    let Some(found) = history.to_start(wanted, sure) else {
        let fault = Fault::new("so little is known that more than ten million would have to be started", 0..given.sure.len());
        return asked.refuse("--sure", &given.sure, fault.right("less sure, fewer to deliver, or a share by --reject"));
    };
    let lines = vec![
        format!("deliver {wanted}, {bad} of {made} rejected before, sure {}", shown(sure)),
        "formula  the least n with P(beta-binomial(n, passed + 1, rejected + 1) >= deliver) >= sure".to_owned(),
        "source   posterior predictive: Gelman and others, Bayesian Data Analysis, chapter 2".to_owned(),
    ];
    Some(answer(wanted, found, lines))
}

fn answer(wanted: u64, found: allowance::Start, more: Vec<String>) -> Answer {
    let mut lines =
        vec![format!("start        {}", found.start), format!("probability  {}  (that {wanted} or more pass)", shown(found.probability)), String::new()];
    lines.extend(more);
    Answer { json: json!({ "start": found.start, "probability": found.probability }), lines }
}
