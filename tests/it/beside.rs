//! Worksheets of tests stand beside the files in `tests/spec/files`; those too large to be kept
//! are written out when they are asked for.

use std::path::Path;
use std::sync::Arc;

use setsquare::text::{Beside, Files, Source, Unread};
use setsquare::worksheet::{Worksheet, compile_beside};

/// Compiles a worksheet beside these files.
pub fn compile(source: Source) -> Worksheet {
    let path = source.name().to_owned();
    compile_beside(source, &Beside::new(Arc::new(Kept), &path))
}

struct Kept;

impl Files for Kept {
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/spec/files");
        match large(path) {
            Some(Large::Bytes(bytes)) if bytes > most => Err(Unread::TooLong(most)),
            Some(Large::Bytes(_)) => Err(Unread::Missing),
            Some(Large::Text(text)) => Ok(text.into_bytes()),
            None => std::fs::read(folder.join(path)).map_err(|_| Unread::Missing),
        }
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        let files = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/spec/files");
        let entries = std::fs::read_dir(files.join(folder)).map_err(|_| Unread::Missing)?;
        let name = |entry: std::fs::DirEntry| {
            let end = if entry.path().is_dir() { "/" } else { "" };
            format!("{}{end}", entry.file_name().to_string_lossy())
        };
        let mut names: Vec<String> = entries.flatten().map(name).collect();
        names.sort();
        Ok(names)
    }
}

enum Large {
    Text(String),
    /// So many bytes.
    Bytes(usize),
}

fn large(path: &str) -> Option<Large> {
    Some(match path {
        "wide.csv" => Large::Text(format!("{}t\n{}1\n", "x,".repeat(256), "0,".repeat(256))),
        "long.csv" => Large::Text(format!("t,note\n1,{}\n", "x".repeat(65 * 1024))),
        "heavy.csv" => Large::Bytes(257 * 1024 * 1024),
        _ => return None,
    })
}
