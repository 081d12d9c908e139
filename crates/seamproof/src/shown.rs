//! Text in columns and lines.

/// Rows of cells as aligned text: the first column left, the others right, two blanks between.
pub(crate) fn aligned(rows: &[Vec<String>], indent: usize) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| {
        rows.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = " ".repeat(indent);
        for (c, cell) in row.iter().enumerate() {
            let pad = widths[c] - cell.chars().count();
            if c == 0 {
                line.push_str(cell);
                line.push_str(&" ".repeat(pad));
            } else {
                line.push_str("  ");
                line.push_str(&" ".repeat(pad));
                line.push_str(cell);
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Sentences under a heading, a dash before each; nothing where there is none.
pub(crate) fn listed(head: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n  {head}\n");
    for line in lines {
        text.push_str(&wrapped(line, "  - ", "    "));
    }
    text
}

/// Breaks a sentence into lines of at most 96 characters, the following ones indented.
pub(crate) fn wrapped(text: &str, first: &str, rest: &str) -> String {
    let mut out = String::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > 96 {
            out.push_str(line.trim_end());
            out.push('\n');
            line = rest.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let rows = [
            vec!["leg".to_owned(), "6.0 mm".to_owned()],
            vec!["throat".to_owned(), "12.25 mm".to_owned()],
        ];
        assert_eq!(aligned(&rows, 2), "  leg       6.0 mm\n  throat  12.25 mm\n");
    }
}
