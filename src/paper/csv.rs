//! Rows as CSV by RFC 4180: lines end with CR LF, a cell with a comma, a quote or a line end stands in quotes. A text
//! that a spreadsheet would take for a formula gets an apostrophe before it.

use csv::{Terminator, WriterBuilder};

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// A text, from a file perhaps.
    Text(String),
    /// A number, as written.
    Number(String),
    /// Nothing.
    Empty,
}

impl Cell {
    /// A text; nothing where it is empty.
    pub fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Cell::Empty } else { Cell::Text(text) }
    }

    /// A number; nothing where there is none.
    pub fn number(number: Option<impl ToString>) -> Self {
        number.map_or(Cell::Empty, |number| Cell::Number(number.to_string()))
    }

    fn written(self) -> String {
        match self {
            Cell::Number(number) => number,
            Cell::Empty => String::new(),
            // What spreadsheets take for the beginning of a formula; the wide forms too.
            Cell::Text(text) if text.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) || text.starts_with(char::is_control) => format!("'{text}"),
            Cell::Text(text) => text,
        }
    }
}

/// The rows below their headings.
pub fn csv(headings: &[&str], rows: impl IntoIterator<Item = Vec<Cell>>) -> String {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).flexible(true).from_writer(Vec::new());
    // Writing to memory does not fail.
    drop(writer.write_record(headings));
    for row in rows {
        drop(writer.write_record(row.into_iter().map(Cell::written)));
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_written_by_rfc_4180() {
        let row = |cells: &[&str]| cells.iter().map(|cell| Cell::text(*cell)).collect::<Vec<_>>();
        let text = csv(
            &["dressing", "note"],
            [row(&["Sallow Dun, dark", "the \"old\" one"]), row(&["two\nlines", ""]), vec![Cell::Number("-2.5".to_owned()), Cell::Empty]],
        );
        assert_eq!(text, "dressing,note\r\n\"Sallow Dun, dark\",\"the \"\"old\"\" one\"\r\n\"two\nlines\",\r\n-2.5,\r\n");
    }

    #[test]
    fn a_text_is_never_a_formula() {
        for hostile in ["=1+1", "+1", "-1", "@sum(a1)", "\t=1", "\r=1", "＝1"] {
            let text = csv(&["a"], [vec![Cell::text(hostile)]]);
            let cell = text.split("\r\n").nth(1).unwrap_or_default().trim_start_matches('"');
            assert!(cell.starts_with('\''), "{text:?}");
        }
        assert_eq!(csv(&["a"], [vec![Cell::text("a=1")]]), "a\r\na=1\r\n");
    }
}
