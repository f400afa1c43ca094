//! A page of text, built line by line.

use super::table::Table;

/// Greatest width of a line, in characters.
pub(super) const WIDTH: usize = 100;
/// Indent of what stands under a heading.
pub(super) const INDENT: usize = 2;

/// A page of text.
#[derive(Debug, Default)]
pub(super) struct Page {
    text: String,
}

impl Page {
    /// A heading, with an empty line before it unless it comes first.
    pub(super) fn heading(&mut self, heading: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.paragraph(0, 0, heading);
    }

    /// A paragraph under a heading.
    pub(super) fn text(&mut self, text: &str) {
        self.paragraph(INDENT, INDENT, text);
    }

    /// An item of a list: `- text`, or with another mark.
    pub(super) fn item(&mut self, mark: &str, text: &str) {
        let hang = INDENT + mark.chars().count() + 1;
        self.paragraph(INDENT, hang, &format!("{mark} {text}"));
    }

    /// More of an item with that mark.
    pub(super) fn more(&mut self, mark: &str, text: &str) {
        let hang = INDENT + mark.chars().count() + 1;
        self.paragraph(hang, hang, text);
    }

    /// A label and what it stands for, aligned with other labels.
    pub(super) fn fact(&mut self, label: &str, text: &str) {
        const LABEL: usize = 20;
        let line = format!("{label:LABEL$}{text}");
        self.paragraph(INDENT, INDENT + LABEL, &line);
    }

    /// A table under a heading.
    pub(super) fn table(&mut self, table: &Table) {
        for line in table.lines(WIDTH - INDENT) {
            self.text.push_str(&" ".repeat(INDENT));
            self.text.push_str(&line);
            self.text.push('\n');
        }
    }

    /// Text wrapped at the width; words longer than a line are left whole, and a figure stays with
    /// its unit. Runs of spaces inside the first line stay, so that labels keep their column.
    fn paragraph(&mut self, first: usize, rest: usize, text: &str) {
        let mut line = " ".repeat(first);
        let mut width = first;
        let mut empty = true;
        let mut words = text.split(' ').peekable();
        while let Some(word) = words.next() {
            let mut word = word.to_owned();
            while let Some(unit) = words.next_if(|next| next.starts_with("mm")) {
                word = format!("{word} {unit}");
            }
            let length = word.chars().count();
            if !empty && width + 1 + length > WIDTH {
                self.text.push_str(line.trim_end());
                self.text.push('\n');
                line = " ".repeat(rest);
                width = rest;
                empty = true;
            }
            if !empty {
                line.push(' ');
                width += 1;
            }
            line.push_str(&word);
            width += length;
            empty = false;
        }
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// The whole text.
    pub(super) fn finish(self) -> String {
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paragraphs_wrap_and_hang() {
        let mut page = Page::default();
        page.fact("Allowance", &"word ".repeat(30));
        page.item("-", &"more ".repeat(30));
        let text = page.finish();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(text.lines().all(|line| !line.ends_with(' ')));
        let starts: Vec<_> = text
            .lines()
            .map(|line| line.replace("Allowance", "         ").find(['w', 'm', '-']))
            .collect();
        // "word" after its label, hanging under itself; "more" after its mark, likewise.
        assert_eq!(starts, [Some(22), Some(22), Some(2), Some(4)]);
        assert_eq!(text.matches("word").count(), 30);
        assert_eq!(text.matches("more").count(), 30);
    }

    #[test]
    fn figures_stay_with_their_unit() {
        for pad in 80..WIDTH {
            let mut page = Page::default();
            page.text(&format!("{} 1.20 mm³, more", "x".repeat(pad)));
            assert!(page.finish().contains("1.20 mm³,"), "{pad}");
        }
    }
}
