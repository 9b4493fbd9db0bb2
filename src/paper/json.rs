//! Cards and plans as JSON. Every figure is keyed by what `--why` answers to; money is text with its currency.

use crate::card::Card;
use crate::dressing::Per;
use crate::dressing::Tied;
use crate::measure::{Currency, Unit};
use crate::plan::Plan;
use crate::why::{Fig, Origin, Row, Sheet};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

/// The number of this form of JSON; it changes when a key changes its meaning.
pub const SCHEMA: u32 = 1;

/// A worked card.
pub fn card(card: &Card) -> Value {
    json!({
        "schema": SCHEMA,
        "dressing": card.dressing,
        "kind": card.kind,
        "size": card.size.text(),
        "variant": card.variant,
        "hook": card.chart,
        "parts": card.parts.iter().map(|part| json!({
            "part": part.name,
            "of": part.material,
            "materials": part.pieces.iter().map(|piece| json!({ "of": piece.material, "amount": piece.amount.map(|fig| card.sheet.key(fig)) })).collect::<Vec<_>>(),
            "as": part.way.word(),
            "carries-on": part.carries_on,
            "amount": part.amount.map(|fig| card.sheet.key(fig)),
            "by-custom": part.by_custom,
        })).collect::<Vec<_>>(),
        "needs": card.needs.iter().map(|need| json!({
            "for": need.part,
            "of": need.material,
            "size": need.size.as_ref().map(|size| size.text()),
            "amount": card.sheet.key(need.amount),
        })).collect::<Vec<_>>(),
        "steps": card.steps.iter().map(|step| json!({
            "do": step.text,
            "time": step.time.map(|(fig, _)| card.sheet.key(fig)),
            "for": step.time.map(|(_, per)| match per { Per::Fly => "a fly", Per::Dozen => "a dozen", Per::Run => "a run" }),
            "dries": step.dries.map(|fig| card.sheet.key(fig)),
        })).collect::<Vec<_>>(),
        "figures": figures(&card.sheet, &|row| number(row.value)),
    })
}

/// A plan.
pub fn plan(plan: &Plan) -> Value {
    let mut all = figures(&plan.figures, &|row| amount(row, &plan.currency));
    for (_, key, row) in plan.figures.rows() {
        if matches!(row.unit, Unit::Money | Unit::MoneyAnHour)
            && let Some(Value::Object(figure)) = all.get_mut(key)
        {
            figure.insert("currency".to_owned(), json!(plan.currency.code()));
        }
    }
    json!({
        "schema": SCHEMA,
        "order": plan.order,
        "customer": plan.customer,
        "wanted": plan.wanted.map(|date| date.to_string()),
        "currency": plan.currency.code(),
        "runs": plan.runs.iter().map(|run| json!({
            "key": run.key,
            "dressing": run.dressing,
            "size": run.size.text(),
            "variant": run.variant,
            "hook": run.card.chart,
            "priced": run.priced.word(),
            "price-changed": run.price_changed,
        })).collect::<Vec<_>>(),
        "materials": plan.materials.iter().map(|line| json!({
            "key": line.key,
            "name": line.name,
            "unit": line.unit.name(),
            "pack": line.pack,
        })).collect::<Vec<_>>(),
        "tied": if plan.tied == Tied::ByStages { "by stages" } else { "fly by fly" },
        "buy": plan.buying.iter().flat_map(|buying| &buying.parcels).map(|parcel| json!({
            "key": parcel.key,
            "supplier": parcel.supplier,
            "sum": plan.figures.key(parcel.sum),
            "packs": parcel.lines.iter().map(|line| json!({
                "material": line.material,
                "of": line.pack,
                "packs": plan.figures.key(line.packs),
                "cost": plan.figures.key(line.cost),
                "left": plan.figures.key(line.left),
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "when": plan.chart.as_ref().map(|chart| json!({
            "ready": chart.ready.to_string(),
            "in-hand": chart.in_hand.to_string(),
            "late": chart.late.is_some(),
            "runs": chart.runs.iter().filter_map(|laid| Some(json!({
                "key": plan.runs.get(laid.run)?.key,
                "begun": laid.begun.to_string(),
                "ready": laid.ready.to_string(),
            }))).collect::<Vec<_>>(),
            "days": chart.days.iter().map(|day| json!({
                "day": day.date.to_string(),
                "there": plan.figures.key(day.there),
                "work": day.work.iter().map(|(_, hours)| plan.figures.key(*hours)).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
        })),
        "notes": super::plan::sections::how(plan),
        "open": plan.open,
        "figures": all,
    })
}

/// The figures of a sheet; `x.low` and `x.high` are told within `x`.
pub(super) fn figures<V: Copy>(sheet: &Sheet<V>, value: &dyn Fn(&Row<V>) -> Value) -> Map<String, Value> {
    let mut all = Map::new();
    for (_, key, row) in sheet.rows() {
        let base = key.strip_suffix(".low").or_else(|| key.strip_suffix(".high"));
        if base.is_some_and(|base| sheet.find(base).is_some()) {
            continue;
        }
        let mut figure = Map::new();
        figure.insert("value".to_owned(), value(row));
        figure.insert("unit".to_owned(), json!(row.unit.name()));
        figure.insert("standing".to_owned(), json!(row.standing.name()));
        for end in ["low", "high"] {
            if let Some(fig) = sheet.find(&format!("{key}.{end}")) {
                figure.insert(end.to_owned(), value(sheet.at(fig)));
            }
        }
        all.insert(key.to_owned(), Value::Object(figure));
    }
    all
}

/// One figure with its derivation, inputs by key.
pub fn why<V: Copy>(sheet: &Sheet<V>, fig: Fig, value: &dyn Fn(&Row<V>) -> Value) -> Value {
    let row = sheet.at(fig);
    let mut told = json!({ "key": sheet.key(fig), "value": value(row), "unit": row.unit.name(), "standing": row.standing.name() });
    let more = match &row.origin {
        Origin::Given { from } => json!({ "given": from.to_string() }),
        Origin::Worked { formula, inputs } => json!({
            "formula": formula.text(),
            "source": formula.source(),
            "inputs": inputs.iter().map(|input| json!({ "key": sheet.key(*input), "value": value(sheet.at(*input)), "unit": sheet.at(*input).unit.name(), "standing": sheet.at(*input).standing.name() })).collect::<Vec<_>>(),
        }),
    };
    if let (Value::Object(told), Value::Object(more)) = (&mut told, more) {
        told.extend(more);
    }
    told
}

/// A card's figure.
pub fn number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}

/// A plan's figure: money as text, all else as a number.
pub fn amount(row: &Row<Decimal>, currency: &Currency) -> Value {
    match row.unit {
        Unit::Money | Unit::MoneyAnHour => Value::String(money(row.value, currency)),
        _ => row.value.to_f64().map_or(Value::Null, number),
    }
}

/// Money with the digits of its minor unit, or all its digits where it is not rounded to it.
pub fn money(value: Decimal, currency: &Currency) -> String {
    let plain = value.normalize();
    if plain.scale() <= currency.digits() { currency.text(plain) } else { plain.to_string() }
}
