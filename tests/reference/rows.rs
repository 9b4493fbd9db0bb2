//! Reads the small CSV files of figures: `#` lines tell the source, the first other line names the columns.

use std::collections::HashMap;

/// The rows of a file, each by the names of its columns.
pub(crate) struct Row {
    fields: HashMap<String, String>,
}

impl Row {
    /// The text in a column.
    pub(crate) fn text(&self, column: &str) -> &str {
        self.fields.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The figure in a column.
    pub(crate) fn figure(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text} is no figure"))
    }
}

/// All rows; a file without a source, with a ragged row, or with another number of rows than `count` fails.
pub(crate) fn rows(file: &str, count: usize) -> Vec<Row> {
    assert!(file.starts_with("# source: "), "the file names no source");
    let mut lines = file.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    let columns = fields(lines.next().expect("a line with the columns' names"));
    let rows: Vec<Row> = lines
        .map(|line| {
            let values = fields(line);
            assert_eq!(values.len(), columns.len(), "{line}");
            Row { fields: columns.iter().cloned().zip(values).collect() }
        })
        .collect();
    assert_eq!(rows.len(), count, "rows read");
    rows
}

/// Splits a line at its commas, but not within double quotes.
fn fields(line: &str) -> Vec<String> {
    let mut quoted = false;
    let mut fields = vec![String::new()];
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            c => fields.last_mut().expect("one field at least").push(c),
        }
    }
    fields
}

/// Fails unless the figures agree to the share `within` of the larger.
pub(crate) fn agree(what: &str, got: Option<f64>, wanted: f64, within: f64) {
    let got = got.unwrap_or_else(|| panic!("{what}: no result"));
    assert!((got - wanted).abs() <= within * got.abs().max(wanted.abs()), "{what}: {got} is not {wanted}");
}
