//! One slip, one message: in whole notebooks one thing is put wrong, and what is said stands in
//! the block of the slip, once.

use proptest::prelude::*;
use setsquare::text::Source;

use super::beside;

/// A notebook that is right, with slips of single lines: what is written, and what is written
/// wrong.
struct Notebook {
    text: &'static str,
    slips: &'static [(&'static str, &'static str)],
}

const NOTEBOOKS: &[Notebook] = &[
    Notebook {
        text: "
# A log

```given
A = 3.2 cm^2 ± 0.1 cm^2
```

```data log
-- A log
file \"valve.csv\"
separated by semicolons
decimal comma
headings in line 3
t_i / s   = column \"Time [s]\"
p_i / kPa = column \"P1 [kPa]\"   -- ahead
state     = column 4

p_i ± 0.2 kPa ± 0.5 % common
leave out where state = \"low\" -- flow meter
```

```work
f_i = p_i A = ? N
p_m = mean(p_i) = ? kPa
p_l = mean(p_i where t_i > 0.7 s) = ? kPa
n   = count(p_i where state = \"ok\") = ?
```

```fit line
p_i = p_0 + b t_i
p_0 = ? kPa
b   = ? kPa/s
```

```plot
p_i / kPa against t_i / s
fit line
residuals of line
```

The mean is `mean(p_i) = ? kPa`.

```check
p_m > 0 kPa
budget of p_m
```

```answer
b = ? kPa/s
```
",
        slips: &[
            ("-- A log", "- A log"),
            ("file \"valve.csv\"", "file \"valves.csv\""),
            ("file \"valve.csv\"", "files \"valve.csv\""),
            ("file \"valve.csv\"", ""),
            ("by semicolons", "by commas"),
            ("by semicolons", "by semicolon"),
            ("decimal comma", "decimal point"),
            ("decimal comma", "decimal coma"),
            ("headings in line 3", "headings in line 1"),
            ("headings in line 3", "headings in line 4"),
            ("headings in line 3", "headings in line 30"),
            ("headings in line 3", "headings in row 3"),
            ("headings in line 3", ""),
            ("column \"Time [s]\"", "column \"Tme [s]\""),
            ("column \"Time [s]\"", "colum \"Time [s]\""),
            ("t_i / s   =", "t / s   ="),
            ("t_i / s   =", "t_i / kg   ="),
            ("t_i / s   =", "t_i s   ="),
            ("p_i / kPa =", "p_i / bar ="),
            ("p_i / kPa =", "p_j / kPa ="),
            ("column 4", "column 40"),
            ("state     = column 4", "state     = colum 4"),
            ("p_i ± 0.2 kPa", "p_i ± 0.2 K"),
            ("p_i ± 0.2 kPa", "p_i ± x kPa"),
            ("0.5 % common", "0.5 %"),
            ("where state =", "where stat ="),
            ("where state =", "where state >"),
            (" -- flow meter", ""),
            ("p_0 = ? kPa", "p_0 = ?? kPa"),
            ("p_0 = ? kPa", "p_0 ? kPa"),
            ("b   = ? kPa/s", "b   = kPa/s"),
            ("p_i = p_0 + b t_i", "p_i = p_0 + b t_i)"),
            ("p_i = p_0 + b t_i", "p_i = p_0 + b^2 t_i"),
            ("p_i = p_0 + b t_i", "p_i = 2 kg + p_0 + b t_i"),
        ],
    },
    Notebook {
        text: "
# A pendulum

```given
d = 25.02 ± 0.02 mm
N = 20
```

```data swings
-- Twenty swings
l_i / mm | t_i / s | note
287      | 21.90   |
388      | 25.41   |
487      | 28.67   | draught
589      | 31.15   |
686      | 33.47   |

l_i ± 1.0 mm
t_i ± 0.05 s
leave out row 3 -- draught
```

```work
L_i = l_i + d/2 = ? mm
T_i = t_i/N = ? s
m   = mean(l_i where note = \"\") = ? mm
h(x) = t_i against l_i by cubic
t_5 = h(500 mm) = ? s
```

```fit line
T_i^2 = c + (4 pi^2/g) L_i
g = ? m/s^2
c = ? s^2
```

```plot
T_i^2 / s^2 against L_i / m
fit line
```

```check
c agrees with 0 within k = 10
g agrees with 9.812 m/s^2 within k = 10
budget of g
```

```answer
g = ? m/s^2 with 95 % coverage
```
",
        slips: &[
            ("-- Twenty swings", "- Twenty swings"),
            ("l_i / mm | t_i / s | note", ""),
            ("l_i / mm |", "l / mm |"),
            ("l_i / mm |", "l_i / mmm |"),
            ("l_i / mm |", "l_i mm |"),
            ("l_i / mm |", "l_i / mm ||"),
            ("t_i / s | note", "t_i / s"),
            ("l_i / mm | t_i / s", "l_i / mm t_i / s"),
            ("l_i / mm |", "l_i / mm ± 0.5 |"),
            ("388      |", "388 mm   |"),
            ("388      |", "388"),
            ("25.41", "25,41"),
            ("25.41", ""),
            ("25.41", "<25"),
            ("25.41", "25.41 ± 0.1"),
            ("l_i ± 1.0 mm", "l_i ± 1.0 s"),
            ("l_i ± 1.0 mm", "l_i ± 1.0 mn"),
            ("l_i ± 1.0 mm", "k_i ± 1.0 mm"),
            ("leave out row 3 -- draught", "leave out row 3"),
            ("leave out row 3", "leave out row 30"),
            ("leave out row 3", "leave out where nte = \"x\""),
            ("h(x) = t_i", "h(x) == t_i"),
            ("by cubic", "by cubc"),
            ("g = ? m/s^2\nc", "g = ? m/s\nc"),
            ("c = ? s^2", "c = ? s"),
            ("c = ? s^2", "c  ? s^2"),
        ],
    },
];

#[test]
fn one_slip_gives_one_message_where_it_stands() {
    for notebook in NOTEBOOKS {
        let right = errors(notebook.text);
        assert!(right.is_empty(), "{right:?}");
        let wrong: Vec<String> = (notebook.slips.iter())
            .filter_map(|slip| follow_ups(notebook.text, *slip))
            .collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}

/// What is said of a slip where that is not one message in its block.
fn follow_ups(text: &str, (right, wrong): (&str, &str)) -> Option<String> {
    let at = text.find(right).expect("the slip is of something there");
    let slipped = text.replacen(right, wrong, 1);
    let block = line_of(text, text[..at].rfind("\n```").unwrap());
    let end = line_of(text, at + text[at..].find("\n```").unwrap());
    let said = errors(&slipped);
    let is_one = said.len() == 1 && (block..=end).contains(&said[0].0);
    (!is_one).then(|| format!("{right:?} -> {wrong:?}: {said:#?}"))
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// The errors with their lines.
fn errors(text: &str) -> Vec<(usize, String)> {
    let worksheet = beside::compile(Source::new("slips.md", text));
    let errors = worksheet.diagnostics.iter().filter(|it| it.is_error());
    errors
        .map(|error| {
            let line = line_of(text, error.span.start as usize);
            (line, format!("{} {}", error.code, error.message))
        })
        .collect()
}

/// A table that is right, with everything that may be said of one.
#[derive(Debug, Clone)]
struct Readings {
    /// Name, unit and what its readings are uncertain by.
    columns: Vec<(&'static str, &'static str, &'static str)>,
    rows: Vec<Vec<u32>>,
    /// Rows that are left out, and all after them.
    left_out: usize,
    has_bars_around: bool,
}

const COLUMNS: &[(&str, &str, &str)] = &[
    ("l_i", "mm", "± 1.0 mm"),
    ("t_i", "s", "± 0.05 s ± 0.2 % common"),
    (
        "p_i",
        "kPa gauge",
        "± 0.25 % of 600 kPa (rectangular) common",
    ),
    ("q_i", "(W/m^2)", "(resolution 0.1 W/m^2)"),
    ("theta_i", "degC", "± 0.3 degC each"),
];

impl Readings {
    fn number(&self, row: usize, column: usize) -> String {
        let digits = self.rows[row][column];
        format!("{}.{}", digits / 10, digits % 10)
    }

    /// The lines of the block: a caption, the heading, rows, what is said of the columns, what is
    /// left out.
    fn lines(&self) -> Vec<String> {
        let row = |fields: Vec<String>| match self.has_bars_around {
            true => format!("| {} |", fields.join(" | ")),
            false => fields.join(" | "),
        };
        let headings = self
            .columns
            .iter()
            .map(|(name, unit, _)| format!("{name} / {unit}"));
        let mut lines = vec!["-- As they were read".to_owned()];
        lines.push(row(headings.chain(["note".to_owned()]).collect()));
        for at in 0..self.rows.len() {
            let numbers = (0..self.columns.len()).map(|column| self.number(at, column));
            lines.push(row(numbers.chain([format!("x{at}")]).collect()));
        }
        let said = self
            .columns
            .iter()
            .map(|(name, _, size)| format!("{name} {size} -- as told"));
        lines.extend(said);
        lines.push(format!("leave out row {} -- draught", self.left_out));
        lines.push("leave out where note = \"x0\" -- the first".to_owned());
        lines
    }

    fn text(&self, lines: &[String]) -> String {
        let means = self.columns.iter().enumerate();
        let means = means.map(|(at, (name, ..))| format!("m_{at} = mean({name})\n"));
        format!(
            "```data log\n{}\n```\n\n```work\n{}```\n",
            lines.join("\n"),
            means.collect::<String>()
        )
    }

    /// Where a line stands: the fence is the first.
    fn place(&self, of: Of, row: usize, column: usize) -> usize {
        match of {
            Of::Caption => 0,
            Of::Heading => 1,
            Of::Row => 2 + row,
            Of::Size => 2 + self.rows.len() + column,
            Of::LeftOut => 2 + self.rows.len() + self.columns.len(),
            Of::Where => 3 + self.rows.len() + self.columns.len(),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Of {
    Caption,
    Heading,
    Row,
    Size,
    LeftOut,
    Where,
}

/// A slip: the line that it is in, and the line as it is then; `{n}` is the reading, `{c}` the
/// column, `{u}` its unit. Where there is nothing to slip on, the line stays.
type Slip = (&'static str, Of, fn(&str, &Told) -> String);

struct Told {
    number: String,
    name: &'static str,
    unit: &'static str,
    size: &'static str,
    rows: usize,
}

fn cell(line: &str, told: &Told, instead: &str) -> String {
    line.replacen(&told.number, instead, 1)
}

const SLIPS: &[Slip] = &[
    ("caption with one dash", Of::Caption, |line, _| {
        line.replacen("--", "-", 1)
    }),
    ("unit that is none", Of::Heading, |line, told| {
        line.replacen(&format!("/ {}", told.unit), "/ mmn", 1)
    }),
    ("no slash", Of::Heading, |line, told| {
        line.replacen(&format!("{} / ", told.name), &format!("{} ", told.name), 1)
    }),
    ("name of no list", Of::Heading, |line, told| {
        line.replacen(told.name, &told.name.replace("_i", ""), 1)
    }),
    ("two slashes", Of::Heading, |line, told| {
        line.replacen(&format!("/ {}", told.unit), "/ kg/s", 1)
    }),
    ("size of a column in %", Of::Heading, |line, told| {
        line.replacen(&format!("/ {}", told.unit), "/ % ± 1 %", 1)
    }),
    ("missing bar", Of::Row, |line, _| {
        let at = line.find(" | ").unwrap();
        format!("{} {}", &line[..at], &line[at + 3..])
    }),
    ("a bar too many", Of::Row, |line, _| {
        line.replacen(" | ", " | | ", 1)
    }),
    ("words among readings", Of::Row, |line, told| {
        cell(line, told, "abc")
    }),
    ("unit in a cell", Of::Row, |line, told| {
        cell(line, told, "5.0 mm")
    }),
    ("another unit in a cell", Of::Row, |line, told| {
        cell(line, told, "5.0 kg")
    }),
    ("decimal comma", Of::Row, |line, told| {
        cell(line, told, &told.number.replace('.', ","))
    }),
    ("ditto", Of::Row, |line, told| cell(line, told, "\"")),
    ("ditto in words", Of::Row, |line, told| {
        cell(line, told, "do.")
    }),
    ("nothing", Of::Row, |line, told| cell(line, told, "")),
    ("below a limit", Of::Row, |line, told| {
        cell(line, told, "<0.5")
    }),
    ("thousands", Of::Row, |line, told| {
        cell(line, told, "1 234.5")
    }),
    ("a time", Of::Row, |line, told| cell(line, told, "12:30")),
    ("one with its own", Of::Row, |line, told| {
        cell(line, told, "5.0 ± 0.1")
    }),
    ("± twice", Of::Row, |line, told| {
        cell(line, told, "5.0 ± ± 0.1")
    }),
    ("± twice below", Of::Size, |line, _| {
        line.replacen('±', "± ±", 1).replacen("(res", "((res", 1)
    }),
    ("size of another dimension", Of::Size, |_, told| {
        format!("{} ± 1 mol", told.name)
    }),
    ("size without a unit", Of::Size, |_, told| {
        format!("{} ± 1", told.name)
    }),
    ("unit that is none, below", Of::Size, |_, told| {
        format!("{} ± 1 mmn", told.name)
    }),
    ("a share of nobody", Of::Size, |_, told| {
        format!("{} ± 0.5 %", told.name)
    }),
    ("no column", Of::Size, |_, told| {
        format!("{} ± 1 mm", told.name.replace("_i", "_z_i"))
    }),
    ("a word behind", Of::Size, |_, told| {
        format!("{} {} sometimes", told.name, told.size)
    }),
    ("no reason", Of::LeftOut, |line, _| {
        line.replace(" -- draught", "")
    }),
    ("one dash", Of::LeftOut, |line, _| {
        line.replace(" -- ", " - ")
    }),
    ("no such row", Of::LeftOut, |_, told| {
        format!("leave out row {} -- x", told.rows + 1)
    }),
    ("rows the wrong way", Of::LeftOut, |_, _| {
        "leave out rows 3 to 2 -- x".to_owned()
    }),
    ("rows with a dash", Of::LeftOut, |_, _| {
        "leave out rows 2-3 -- x".to_owned()
    }),
    ("no number", Of::LeftOut, |_, _| {
        "leave out row -- x".to_owned()
    }),
    ("no such heading", Of::Where, |line, _| {
        line.replace("note", "nte")
    }),
    ("words without quotes", Of::Where, |line, _| {
        line.replace("\"x0\"", "x0")
    }),
    ("words compared", Of::Where, |_, _| {
        "leave out where note > 3 -- x".to_owned()
    }),
    ("no condition", Of::Where, |_, _| {
        "leave out where -- x".to_owned()
    }),
    ("a bar", Of::Where, |_, told| {
        format!(
            "leave out where |{}| > 3 {} -- x",
            told.name,
            told.unit.replace(" gauge", "")
        )
    }),
    ("another unit", Of::Where, |_, told| {
        format!("leave out where {} > 3 mol -- x", told.name)
    }),
    ("and with or", Of::Where, |_, _| {
        "leave out where note = \"a\" and note = \"b\" or note = \"c\" -- x".to_owned()
    }),
];

fn readings() -> impl Strategy<Value = Readings> {
    let columns = proptest::sample::subsequence(COLUMNS, 2..=COLUMNS.len());
    (columns, 3_usize..7, any::<bool>()).prop_flat_map(|(columns, count, has_bars_around)| {
        let row = proptest::collection::vec(20_u32..900, columns.len());
        let rows = proptest::collection::vec(row, count);
        (Just(columns), rows, 1..=count).prop_map(move |(columns, rows, left_out)| Readings {
            columns,
            rows,
            left_out,
            has_bars_around,
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(tables()))]

    /// One slip in a table is one message, in its line or at the heading, and every fix that it
    /// has leads to a table that is right, or on to what is left to be filled in.
    #[test]
    fn one_slip_in_a_table_is_one_message(
        table in readings(),
        at in any::<[proptest::sample::Index; 2]>(),
    ) {
        let lines = table.lines();
        let right = errors(&table.text(&lines));
        prop_assert!(right.is_empty(), "{right:?} in {}", table.text(&lines));
        let (row, column) = (at[0].index(table.rows.len()), at[1].index(table.columns.len()));
        let (name, unit, size) = table.columns[column];
        let told = Told { number: table.number(row, column), name, unit, size, rows: table.rows.len() };
        for (what, of, slip) in SLIPS {
            let mut slipped = lines.clone();
            let place = table.place(*of, row, column);
            slipped[place] = slip(&lines[place], &told);
            if slipped == lines {
                continue;
            }
            let text = table.text(&slipped);
            let worksheet = beside::compile(Source::new("slips.md", text.as_str()));
            let said: Vec<_> = worksheet.diagnostics.iter().filter(|it| it.is_error()).collect();
            let shown: Vec<String> = said.iter().map(|it| format!("{} {}", it.code, it.message)).collect();
            prop_assert_eq!(said.len(), 1, "{}: {:?} in\n{}", what, shown, text);
            let line = line_of(&text, said[0].span.start as usize);
            prop_assert!(line == place + 2 || line == 3, "{what}: line {line} in\n{text}");
            prop_assert!(said[0].help.is_some(), "{what}: {shown:?}");
            for fix in &said[0].fixes {
                let mended = fixed(&text, fix);
                let left = errors(&mended);
                let goes_on = left.iter().all(|(_, now)| !shown.contains(now));
                prop_assert!(goes_on, "{what}: {} leaves {left:?} in\n{mended}", fix.title);
            }
        }
    }
}

/// So many tables are tried; `TABLES=2000 cargo test --test it slips` tries more.
fn tables() -> u32 {
    let wished = std::env::var("TABLES")
        .ok()
        .and_then(|count| count.parse().ok());
    wished.unwrap_or(12)
}

/// The text with the edits of a fix made.
fn fixed(text: &str, fix: &setsquare::diagnostic::Fix) -> String {
    let mut edits: Vec<_> = fix.edits.iter().collect();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    let mut mended = text.to_owned();
    for edit in edits {
        mended.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
    }
    mended
}
