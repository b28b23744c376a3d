//! Where the pages go.
//!
//! In: the worksheets and what `--output` says. Out: one target a worksheet, none of them a
//! worksheet itself and no two the same; nothing is touched yet.

use std::fs;
use std::path::{Path, PathBuf};

use super::Failure;
use super::input::{Input, Inputs, Place};
use super::replace::follow_links;

/// Where one page goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// Standard output.
    Standard,
    /// A file in a folder that exists.
    File(PathBuf),
    /// A file in a folder that is made where it is missing.
    Within(PathBuf),
}

impl Target {
    /// The file; none for standard output.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::Standard => None,
            Self::File(path) | Self::Within(path) => Some(path),
        }
    }
}

/// One target for each of the worksheets, in their order; `extension` is that of a page beside its
/// worksheet or in a folder.
///
/// # Errors
/// [`Failure::Usage`] when several pages would go to one place, or a page over a worksheet.
pub fn plan(
    inputs: &Inputs,
    output: Option<&Path>,
    extension: &str,
) -> Result<Vec<Target>, Failure> {
    let targets = match output {
        None => inputs
            .found
            .iter()
            .map(|it| beside(it, extension))
            .collect(),
        Some(output) if is_folder(inputs, output) => within(inputs, output, extension)?,
        Some(output) if output.as_os_str() == "-" => vec![Target::Standard; inputs.found.len()],
        Some(output) => vec![Target::File(output.to_owned()); inputs.found.len()],
    };
    refuse_worksheets(inputs, &targets)?;
    refuse_twice(inputs, &targets)?;
    Ok(targets)
}

fn beside(input: &Input, extension: &str) -> Target {
    match &input.place {
        Place::Standard => Target::Standard,
        Place::File(path) => Target::File(path.with_extension(extension)),
    }
}

/// Whether `--output` names a folder: it is one, is written as one, or has to hold several pages.
fn is_folder(inputs: &Inputs, output: &Path) -> bool {
    let written = output.as_os_str().as_encoded_bytes();
    let several = inputs.from_folder || inputs.found.len() > 1;
    output.is_dir() || written.ends_with(b"/") || (several && written != b"-")
}

fn within(inputs: &Inputs, folder: &Path, extension: &str) -> Result<Vec<Target>, Failure> {
    if folder.exists() && !folder.is_dir() {
        return usage(format!(
            "the pages need a folder, but {} is a file",
            folder.display()
        ));
    }
    let page = |input: &Input| match input.place {
        Place::Standard => usage(
            "a page of standard input has no name in a folder: write `--output FILE`".to_owned(),
        ),
        Place::File(_) => Ok(Target::Within(
            folder.join(input.below.with_extension(extension)),
        )),
    };
    inputs.found.iter().map(page).collect()
}

fn refuse_worksheets(inputs: &Inputs, targets: &[Target]) -> Result<(), Failure> {
    let worksheets: Vec<PathBuf> = inputs
        .found
        .iter()
        .filter(|input| input.place != Place::Standard)
        .map(|input| identity(input.path()))
        .collect();
    for path in targets.iter().filter_map(Target::path) {
        if worksheets.contains(&identity(path)) {
            return usage(format!(
                "{} is a worksheet: its page would be written over it; write `--output FILE`",
                path.display()
            ));
        }
    }
    Ok(())
}

fn refuse_twice(inputs: &Inputs, targets: &[Target]) -> Result<(), Failure> {
    let mut seen: Vec<(Option<PathBuf>, &Input)> = Vec::new();
    for (input, target) in inputs.found.iter().zip(targets) {
        let place = target.path().map(identity);
        if let Some((_, first)) = seen.iter().find(|(other, _)| *other == place) {
            return usage(format!(
                "the pages of {} and {} would both be written to {}",
                first.name(),
                input.name(),
                target.path().unwrap_or(Path::new("-")).display()
            ));
        }
        seen.push((place, input));
    }
    Ok(())
}

/// The same path for the same file, however it is written, also when it does not exist yet.
fn identity(path: &Path) -> PathBuf {
    let path = follow_links(path).unwrap_or_else(|_| path.to_owned());
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    match (fs::canonicalize(folder), path.file_name()) {
        (Ok(folder), Some(name)) => folder.join(name),
        _ => path,
    }
}

fn usage<T>(message: String) -> Result<T, Failure> {
    Err(Failure::Usage(message))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The targets of worksheets that need not exist, or the message.
    fn check(worksheets: &[&str], output: Option<&str>) -> Result<Vec<String>, String> {
        let arguments: Vec<PathBuf> = worksheets.iter().map(PathBuf::from).collect();
        let inputs = Inputs::find(&arguments).unwrap();
        let targets =
            plan(&inputs, output.map(Path::new), "html").map_err(|error| error.to_string())?;
        let shown = |target: &Target| match target.path() {
            Some(path) => path.display().to_string(),
            None => "-".to_owned(),
        };
        Ok(targets.iter().map(shown).collect())
    }

    #[test]
    fn a_page_stands_beside_its_worksheet() {
        assert_eq!(
            check(&["d/a.md", "b"], None).unwrap(),
            ["d/a.html", "b.html"]
        );
    }

    #[test]
    fn standard_input_goes_to_standard_output_or_a_file() {
        assert_eq!(check(&["-"], None).unwrap(), ["-"]);
        assert_eq!(check(&["-"], Some("p.html")).unwrap(), ["p.html"]);
        assert_eq!(check(&["a.md"], Some("-")).unwrap(), ["-"]);
        assert!(
            check(&["-"], Some("pages/"))
                .unwrap_err()
                .contains("no name")
        );
    }

    #[test]
    fn several_pages_go_into_a_folder() {
        assert_eq!(
            check(&["d/a.md", "e/b.md"], Some("pages")).unwrap(),
            ["pages/a.html", "pages/b.html"]
        );
        assert_eq!(check(&["a.md"], Some("pages/")).unwrap(), ["pages/a.html"]);
    }

    #[test]
    fn two_pages_never_go_to_one_place() {
        let message = check(&["d/a.md", "e/a.md"], Some("pages")).unwrap_err();
        assert_eq!(
            message,
            "the pages of d/a.md and e/a.md would both be written to pages/a.html"
        );
        assert!(check(&["a.md", "./a.md"], None).is_err());
        assert!(check(&["a.md", "b.md"], Some("-")).is_err());
    }

    #[test]
    fn a_page_never_goes_over_a_worksheet() {
        assert!(
            check(&["a.html"], None)
                .unwrap_err()
                .contains("is a worksheet")
        );
        assert!(check(&["a.md"], Some("./a.md")).is_err());
        assert!(check(&["a.md", "a.html"], None).is_err());
    }
}
