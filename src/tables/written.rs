//! Rows of fields to a file (RFC 4180).

use csv::{Terminator, WriterBuilder};

/// Rows with commas between their fields, in quotes where those need them.
pub fn separated(rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        // Bytes in memory are always written.
        let _ = writer.write_record(&row);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_in_quotes_where_they_need_them() {
        let rows = [
            vec!["a".to_owned(), "b, c".to_owned(), "say \"d\"".to_owned()],
            vec!["1".to_owned(), String::new(), "two\nlines".to_owned()],
        ];
        assert_eq!(
            separated(rows.into_iter()),
            "a,\"b, c\",\"say \"\"d\"\"\"\r\n1,,\"two\nlines\"\r\n"
        );
    }
}
