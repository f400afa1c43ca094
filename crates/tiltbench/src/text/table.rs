//! Aligned columns.

/// How a column is aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A table with a line of headings. Empty cells stay empty.
#[derive(Debug)]
pub(super) struct Table {
    head: Vec<(&'static str, Align)>,
    rows: Vec<Vec<String>>,
}

/// Space between columns.
const GAP: &str = "  ";
/// Width below which the first column is not cut.
const FIRST_AT_LEAST: usize = 8;

impl Table {
    /// A table with these headings.
    pub(super) fn new(head: impl IntoIterator<Item = (&'static str, Align)>) -> Self {
        Self {
            head: head.into_iter().collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row. Cells beyond the headings are dropped, missing ones are empty.
    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        let mut row: Vec<String> = cells.into_iter().take(self.head.len()).collect();
        row.resize(self.head.len(), String::new());
        self.rows.push(row);
    }

    /// Whether there is nothing but headings.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The lines. Where they would be wider than `width`, the first column is cut; columns with
    /// nothing in them are left out.
    pub(super) fn lines(&self, width: usize) -> Vec<String> {
        let used: Vec<usize> = (0..self.head.len())
            .filter(|&c| self.rows.iter().any(|row| !row[c].is_empty()))
            .collect();
        let mut widths: Vec<usize> = used
            .iter()
            .map(|&c| {
                let cells = self.rows.iter().map(|row| row[c].chars().count());
                cells.fold(self.head[c].0.chars().count(), usize::max)
            })
            .collect();
        let total = widths.iter().sum::<usize>() + GAP.len() * widths.len().saturating_sub(1);
        if let Some(first) = widths.first_mut() {
            *first = first
                .saturating_sub(total.saturating_sub(width))
                .max(FIRST_AT_LEAST.min(*first));
        }
        let heads: Vec<&str> = self.head.iter().map(|(head, _)| *head).collect();
        let rows = self
            .rows
            .iter()
            .map(|row| row.iter().map(String::as_str).collect());
        std::iter::once(heads)
            .chain(rows)
            .map(|row| {
                let cells: Vec<String> = used
                    .iter()
                    .zip(&widths)
                    .map(|(&c, &width)| padded(row[c], self.head[c].1, width))
                    .collect();
                cells.join(GAP).trim_end().to_owned()
            })
            .collect()
    }
}

fn padded(cell: &str, align: Align, width: usize) -> String {
    let length = cell.chars().count();
    if length > width {
        let kept: String = cell.chars().take(width.saturating_sub(1)).collect();
        return format!("{kept}…");
    }
    let space = " ".repeat(width - length);
    match align {
        Align::Left => format!("{cell}{space}"),
        Align::Right => format!("{space}{cell}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_align_and_long_names_are_cut() {
        let mut table = Table::new([
            ("Zone", Align::Left),
            ("Depth", Align::Right),
            ("Unused", Align::Left),
            ("State", Align::Left),
        ]);
        let row = |cells: [&str; 4]| cells.map(str::to_owned);
        table.row(row(["labial flange", "0.85", "", "met"]));
        table.row(row(["a very long name of a zone", "10.00", "", "over"]));
        assert_eq!(
            table.lines(28),
            [
                "Zone            Depth  State",
                "labial flange    0.85  met",
                "a very long n…  10.00  over",
            ]
        );
    }
}
