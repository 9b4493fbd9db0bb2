//! Finding the figure a `--why` asks for: by its key as printed, or by the path of the JSON it was read from.

use super::out::Out;
use super::{Verdict, asked::quoted};
use crate::diagnostic::did_you_mean;
use crate::measure::words::fold;
use crate::why::{Fig, Sheet};

/// What a key asks for.
pub(super) enum Asked {
    /// A figure of the sheet.
    Figure(Fig),
    /// The number of the JSON's form.
    Schema,
}

/// Finds the figure; tells what is there instead where it finds none.
pub(super) fn find<V: Copy>(sheet: &Sheet<V>, asked: &str, named: &dyn Fn(&str) -> bool, out: &mut Out) -> Result<Asked, Verdict> {
    let key = plain(asked);
    if key == "schema" {
        return Ok(Asked::Schema);
    }
    if let Some(fig) = sheet.find(&key).or_else(|| sheet.rows().find(|(_, own, _)| fold(own) == fold(&key)).map(|(fig, ..)| fig)) {
        return Ok(Asked::Figure(fig));
    }
    let known: Vec<&str> = sheet.keys().filter(|key| named(key)).collect();
    let under = format!("{}.", fold(&key));
    let beneath: Vec<&str> = known.iter().copied().filter(|own| fold(own).starts_with(&under)).collect();
    let hint = if !beneath.is_empty() {
        format!("one of {}", beneath.iter().take(40).copied().collect::<Vec<_>>().join(", "))
    } else {
        did_you_mean(&key, known.iter().copied()).unwrap_or_else(|| {
            let some = known.iter().take(12).copied().collect::<Vec<_>>().join(", ");
            format!("a key such as {some}; --json lists all {}", known.len())
        })
    };
    out.trouble(&format!("error: there is no figure {}\nright: {hint}", quoted(asked)));
    Err(Verdict::Findings)
}

/// The key within a JSON path: `figures["tail.length"].value` and `["figures"]["tail.length"]["value"]` are
/// `tail.length`.
fn plain(asked: &str) -> String {
    let mut key = asked.trim().trim_start_matches('$').to_owned();
    for (from, to) in [("[\"", "."), ("\"]", ""), ("['", "."), ("']", "")] {
        key = key.replace(from, to);
    }
    let key = key.trim_start_matches('.');
    let key = key.strip_prefix("figures.").unwrap_or(key);
    let key = key.strip_suffix(".value").unwrap_or(key);
    // The trade's other spellings, as the files take them too.
    match key {
        "hook.wire" => "hook.hook-wire".to_owned(),
        "hook.gape" => "hook.gap".to_owned(),
        _ => key.strip_suffix(".fiber").map_or_else(|| key.to_owned(), |part| format!("{part}.fibre")),
    }
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn a_json_path_is_a_key() {
        assert_eq!(plain("figures[\"tail.length\"].value"), "tail.length");
        assert_eq!(plain("[\"figures\"][\"tail.length\"][\"low\"]"), "tail.length.low");
        assert_eq!(plain("figures.tail.length.low"), "tail.length.low");
        assert_eq!(plain("tail.length"), "tail.length");
    }
}
