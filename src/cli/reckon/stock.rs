//! `herl reckon eoq` and `herl reckon reorder`: how much to order, and at which stock.

use super::Answer;
use super::share::{FIGURE, OVER_NOUGHT, sure};
use crate::cli::asked::{self, Asked, shown};
use crate::measure::Fault;
use crate::reckon::inventory::reorder::{by_service, over_lead};
use crate::reckon::inventory::{Demand, quantity};
use serde_json::json;

/// How much to order at a time.
#[derive(Debug, clap::Args)]
pub struct Eoq {
    /// What is used in some time, such as a year
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub demand: String,
    /// What an order costs, whatever its size
    #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = asked::value)]
    pub order_cost: String,
    /// What it costs to hold one for that time
    #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = asked::value)]
    pub holding: String,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// At which stock to order again.
#[derive(Debug, clap::Args)]
pub struct Reorder {
    /// What is used in some time, such as a week, on the average
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub mean: String,
    /// The standard deviation of what is used in that time
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub sd: String,
    /// How many such times pass until goods come
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub lead: String,
    /// The standard deviation of that lead time; 0 where left out
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub lead_sd: Option<String>,
    /// How sure it must be that stock lasts until goods come, such as 0.95 or "95 %"
    #[arg(long, value_name = "P", allow_hyphen_values = true, value_parser = asked::value)]
    pub service: String,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

pub(super) fn eoq(given: &Eoq, asked: &mut Asked) -> Option<Answer> {
    let demand = asked.figure("--demand", &given.demand, &OVER_NOUGHT);
    let order = asked.figure("--order-cost", &given.order_cost, &OVER_NOUGHT);
    let holding = asked.figure("--holding", &given.holding, &OVER_NOUGHT);
    let (demand, order, holding) = (demand?, order?, holding?);
    let (Some(best), Some(whole)) = (quantity::eoq(demand, order, holding), quantity::whole(demand, order, holding)) else {
        return asked.refuse("--demand", &given.demand, Fault::new("the quantity is too large to reckon", 0..given.demand.len()));
    };
    Some(Answer {
        json: json!({ "eoq": best.quantity, "cost_per_time": best.cost }),
        lines: vec![
            format!("order  {}  (whole: {})", shown(best.quantity), shown(whole.quantity)),
            format!("cost   {} for the time that demand is told for, half for orders and half for holding", shown(best.cost)),
            String::new(),
            format!("demand {}, order {}, holding {}: {} orders", shown(demand), shown(order), shown(holding), shown(demand / best.quantity)),
            "formula  order = sqrt(2 demand x order cost / holding); cost = sqrt(2 demand x order cost x holding)".to_owned(),
            "source   economic order quantity, Harris 1913; Snyder and Shen, Fundamentals of Supply Chain Theory, chapter 3".to_owned(),
        ],
    })
}

pub(super) fn reorder(given: &Reorder, asked: &mut Asked) -> Option<Answer> {
    let mean = asked.figure("--mean", &given.mean, &FIGURE);
    let sd = asked.figure("--sd", &given.sd, &FIGURE);
    let lead = asked.figure("--lead", &given.lead, &FIGURE);
    let lead_sd = given.lead_sd.as_ref().map_or(Some(0.0), |text| asked.figure("--lead-sd", text, &FIGURE));
    let service = sure(asked, "--service", &given.service);
    let (demand, lead, lead_sd, service) = (Demand { mean: mean?, sd: sd? }, lead?, lead_sd?, service?);
    let found = over_lead(demand, lead, lead_sd).and_then(|over| Some((over, by_service(over, service)?)));
    let Some((over, point)) = found else {
        return asked.refuse("--mean", &given.mean, Fault::new("the stock is too large to reckon", 0..given.mean.len()));
    };
    let spread = if lead_sd > 0.0 { format!(", its deviation {}", shown(lead_sd)) } else { String::new() };
    Some(Answer {
        json: json!({ "reorder_point": point.point, "safety_stock": point.safety }),
        lines: vec![
            format!("reorder at    {}", shown(point.point)),
            format!("safety stock  {}", shown(point.safety)),
            String::new(),
            format!("mean {}, deviation {}, lead time {}{spread}, service {}", shown(demand.mean), shown(demand.sd), shown(lead), shown(service)),
            format!("over the lead time: mean {}, deviation {}", shown(over.mean), shown(over.sd)),
            "formula  reorder = mean x lead + safety; safety = z(service) sqrt(lead sd² + mean² lead_sd²)".to_owned(),
            "source   Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, chapter 6".to_owned(),
        ],
    })
}
