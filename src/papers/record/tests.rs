use super::*;
use crate::text::{Beside, Memory, NoFiles, Source};
use crate::worksheet;

const ROD: &str = "---\ntitle: Rod\n---\n\n# Rod\n\nA rod is puled.\n\n```given\nF = 12.0 kN -- pull\n\
                   A = 300 mm^2\n```\n\n```required\nsigma = ? MPa -- stress (3 marks, within 2 %)\n```\n\n\
                   ## Solution\n\n```derive\nlaw: sigma = F/A -- balance (1 method)\n```\n\n\
                   ```work\nsigma = ? MPa -- (2 answer)\n```\n\nIt holds.\n";

fn compiled(text: &str) -> Worksheet {
    worksheet::compile_beside(Source::new("rod.md", text), &Beside::nothing())
}

fn version(text: &str) -> Printed {
    let sheet = Arc::new(compiled(text));
    assert!(!sheet.has_errors(), "{:?}", sheet.diagnostics);
    let chosen = Chosen {
        path: "rod.md".to_owned(),
        worksheet: Arc::clone(&sheet),
        problem: facts::problems(&sheet).next().unwrap(),
        title: "Rod".to_owned(),
    };
    let version = Version {
        number: 0,
        questions: vec![chosen],
        fingerprint: None,
    };
    printed(&sheet, &version)
}

fn record(text: &str) -> Record {
    Record {
        title: "Rod".to_owned(),
        paper: "rod.md".to_owned(),
        texts: BTreeMap::from([("rod.md".to_owned(), text.to_owned())]),
        files: BTreeMap::new(),
        versions: vec![version(text)],
    }
}

#[test]
fn a_version_has_its_data_answers_ranges_and_marks() {
    let found = version(ROD);
    let question = &found.questions[0];
    let data: Vec<(&str, &str)> = (question.data.iter())
        .map(|it| (it.name.as_str(), it.text.as_str()))
        .collect();
    assert_eq!(data, [("F", "12.0 kN"), ("A", "300 mm^2")]);
    let part = &question.parts[0];
    assert_eq!((part.name.as_str(), part.letter), ("sigma", None));
    assert!((part.si[0] - 40e6).abs() < 1e-3, "{:?}", part.si);
    // 40.00 within 2 % is 39.20 to 40.80.
    assert_eq!(part.accepted, [(39.2, 40.8)]);
    assert_eq!(part.unit, "MPa");
    let formulas: Vec<(&str, &str)> = (question.formulas.iter())
        .map(|it| (it.text.as_str(), it.marks.as_str()))
        .collect();
    assert_eq!(
        formulas,
        [("law: sigma=F/A", "1 method"), ("sigma=? MPa", "2 answer")]
    );
    let bytes = found.fingerprint.as_bytes();
    assert!(
        bytes.len() == 9 && bytes[4] == b'-',
        "{}",
        found.fingerprint
    );
}

/// What is no number, mark or formula leaves the fingerprint.
#[test]
fn prose_blanks_and_filled_numbers_make_no_other_paper() {
    let first = version(ROD).fingerprint;
    let filled = worksheet::fill(&compiled(ROD));
    assert_ne!(filled, ROD);
    let same = [
        ROD.replace("puled", "pulled"),
        ROD.replace("It holds.", "It holds well."),
        ROD.replace("-- pull", "-- the pull of a rope"),
        ROD.replace("-- balance", "-- of the rod"),
        ROD.replace("sigma = F/A", "sigma=F / A"),
        ROD.replace("F = 12.0 kN", "F   =  12.0 kN"),
        filled,
    ];
    for text in &same {
        assert_eq!(version(text).fingerprint, first, "{text}");
    }
}

#[test]
fn another_number_mark_formula_or_title_is_told() {
    let other = [
        (
            "F = 12.0 kN",
            "F = 12.5 kN",
            "`F` was 12.0 kN and is 12.5 kN",
        ),
        ("300 mm^2", "310 mm^2", "`A` was 300 mm^2 and is 310 mm^2"),
        (
            "(2 answer)",
            "(1 answer, 1 unit)",
            "`sigma` had (1 method, 2 answer) and has (1 method, 1 answer, 1 unit)",
        ),
        (
            "sigma = F/A",
            "sigma = 2 F/(2 A)",
            "`law: sigma=2 F/(2 A)` was `law: sigma=F/A`",
        ),
        ("within 2 %", "within 3 %", "is asked now"),
        ("? MPa -- stress", "? kPa -- stress", "is asked now"),
    ];
    let before = record(ROD);
    for (old, new, said) in other {
        let now = record(&ROD.replace(old, new));
        assert_ne!(now.versions, before.versions, "{new}");
        let told = differences(&before, &now);
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].starts_with("question 1 version 0, "), "{told:?}");
        assert!(told[0].contains(said), "{told:?}");
    }
    assert!(differences(&before, &before).is_empty());
}

#[test]
fn a_record_is_read_back_and_gives_the_files_as_they_were() {
    let memory = Memory::default();
    memory.write("bank/rod.md", ROD);
    memory.write("bank/x.csv", "x\n1\n");
    let now: Arc<dyn Files> = Arc::new(memory);
    let mut record = record(ROD);
    record.texts = BTreeMap::from([("bank/rod.md".to_owned(), "# Old\n".to_owned())]);
    let hash = Hash::of(b"x\n1\n").to_string();
    record.files = BTreeMap::from([("bank/x.csv".to_owned(), hash)]);
    let back = Arc::new(Record::read(&record.json()).unwrap());
    assert_eq!(*back, record);
    assert!(
        Record::read("{}")
            .unwrap_err()
            .starts_with("it is no record of a paper: ")
    );
    let files = back.files(&now);
    assert_eq!(files.bytes("bank/rod.md", 99).unwrap(), b"# Old\n");
    assert_eq!(files.bytes("bank/rod.md", 2), Err(Unread::TooLong(2)));
    assert_eq!(files.bytes("bank/x.csv", 99).unwrap(), b"x\n1\n");
    assert_eq!(files.bytes("bank/y.csv", 99), Err(Unread::Missing));
    assert_eq!(files.names("").unwrap(), ["bank/"]);
    assert_eq!(files.names("bank").unwrap(), ["rod.md", "x.csv"]);
    assert!(back.changed_files(now.as_ref()).is_empty());
    // A data file that is another one is not handed out.
    let none: Arc<dyn Files> = Arc::new(NoFiles);
    assert_eq!(back.changed_files(none.as_ref()), ["bank/x.csv"]);
    assert_eq!(
        back.files(&none).bytes("bank/x.csv", 99),
        Err(Unread::Missing)
    );
}

#[test]
fn versions_that_are_not_printed_again_stay_in_the_record() {
    let (mut earlier, now) = (record(ROD), record(ROD));
    let mut other = earlier.versions[0].clone();
    other.version = 3;
    earlier.versions.insert(0, other);
    let kept = now.clone().with_others_of(&earlier);
    let numbers: Vec<u16> = kept.versions.iter().map(|it| it.version).collect();
    assert_eq!(numbers, [0, 3]);
    assert_eq!(now.clone().with_others_of(&now), now);
}
