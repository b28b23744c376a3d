//! One slip, one message: in whole notebooks one thing is put wrong, and what is said stands in
//! the block of the slip, once.

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
