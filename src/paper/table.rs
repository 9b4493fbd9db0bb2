//! A plain table of text: columns as wide as they must be, figures to the right.

use unicode_width::UnicodeWidthStr;

/// A table under way.
#[derive(Clone, Debug, Default)]
pub struct Table {
    rows: Vec<Vec<String>>,
    right: Vec<bool>,
}

impl Table {
    /// A table with these headings; a heading that begins with `>` stands above a column set to the right.
    pub fn new(headings: &[&str]) -> Self {
        let right = headings.iter().map(|heading| heading.starts_with('>')).collect();
        Table { rows: vec![headings.iter().map(|heading| heading.trim_start_matches('>').to_owned()).collect()], right }
    }

    /// Adds a row; missing cells are empty.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// Whether it has no row but its headings.
    pub fn is_empty(&self) -> bool {
        self.rows.len() <= 1
    }

    /// The table as text, a line a row, two spaces between columns.
    pub fn text(&self) -> String {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns).map(|nth| self.rows.iter().filter_map(|row| row.get(nth)).map(|cell| cell.width()).max().unwrap_or(0)).collect();
        let mut text = String::new();
        for row in &self.rows {
            let mut line = String::new();
            for (nth, cell) in row.iter().enumerate() {
                let pad = " ".repeat(widths.get(nth).copied().unwrap_or(0).saturating_sub(cell.width()));
                if nth > 0 {
                    line.push_str("  ");
                }
                if self.right.get(nth).copied().unwrap_or(false) {
                    line.push_str(&pad);
                    line.push_str(cell);
                } else {
                    line.push_str(cell);
                    line.push_str(&pad);
                }
            }
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_to_the_right() {
        let mut table = Table::new(&["part", ">mm"]);
        table.row(vec!["tail".into(), "9.0".into()]);
        table.row(vec!["body é".into(), "10.0".into()]);
        assert_eq!(table.text(), "part      mm\ntail     9.0\nbody é  10.0\n");
    }
}
