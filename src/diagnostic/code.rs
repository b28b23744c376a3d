//! The codes, one a row, by the pass that raises them.

use std::fmt;

macro_rules! codes {
    ($($code:ident $title:literal,)*) => {
        /// A stable name for a kind of diagnostic: a letter for the pass and a number.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $(#[doc = $title] $code,)* }

        impl Code {
            /// Every code, in the order of the reference.
            pub const ALL: &'static [Code] = &[$(Code::$code,)*];

            /// The code as it is written: `D12`.
            pub fn as_str(self) -> &'static str {
                match self { $(Code::$code => stringify!($code),)* }
            }

            /// What it is about, in a few words.
            pub fn title(self) -> &'static str {
                match self { $(Code::$code => $title,)* }
            }

            pub(super) fn page(self) -> &'static str {
                match self {
                    $(Code::$code => include_str!(concat!("codes/", stringify!($code), ".md")),)*
                }
            }
        }
    };
}

codes! {
    // T: the bytes of the worksheet
    T01 "text that is not UTF-8",
    T02 "a worksheet that is too large",
    T03 "a control character in a statement",
    T04 "more work than a worksheet may ask for",
    // M: the Markdown around the statements
    M01 "an unknown key in the front matter",
    M02 "a front matter value of the wrong form",
    M03 "front matter that is not closed",
    M04 "TeX that cannot be read",
    M05 "a reference to a label that does not exist",
    M06 "words after a block's name",
    M07 "a block that is not closed",
    M08 "a link that is not followed",
    M09 "a block without its label",
    M10 "the date of an entry",
    M11 "a picture that is not there",
    M12 "a file that is no picture of a page",
    M13 "the width of a picture",
    M14 "parts of a picture that are left out",
    // S: the form of a line
    S01 "a line that cannot be read",
    S02 "a slash with two readings",
    S03 "a function with two readings",
    S04 "a power of a function with two readings",
    S05 "a bare log",
    S06 "bars with two readings",
    S07 "a number before brackets",
    S08 "an angle without a unit",
    S09 "brackets nested too deep",
    S10 "a statement that is too long",
    S11 "a line in the wrong block",
    S12 "a number given in work",
    S13 "a unit with two readings",
    S14 "a reserved word as a name",
    S15 "a unit in derive",
    // Q: quantity literals
    Q01 "an unknown unit",
    Q02 "an uncertain number that cannot be read",
    Q03 "parts that make no quantity",
    // N: names
    N01 "a name that is not defined",
    N02 "a name defined twice",
    N03 "a name used before it is defined",
    N04 "a unit that stands alone",
    N05 "a function called with the wrong arguments",
    N06 "a label used twice",
    N07 "an unknown constant",
    N08 "an ask without a formula",
    N09 "a list without a list name",
    N10 "a unit followed by a name",
    N11 "a unit mixed with a name",
    N12 "a condition on something that is not given",
    N13 "a label that no equation has",
    N14 "equations that do not fit the unknowns",
    N15 "words of signs that contradict each other",
    N16 "an unknown that is never computed",
    N17 "a name that looks like a Greek letter",
    // V: vectors
    V01 "a vector with a number",
    V02 "a product of vectors with two readings",
    V03 "components that do not fit",
    V04 "a function of a vector",
    // A: algebra
    A01 "a step that does not follow",
    A02 "a step that is not decided",
    A03 "an equation that is not solved in symbols",
    A04 "a solution with several branches",
    A05 "algebra beyond the bound on effort",
    A06 "a condition that symbols cannot use",
    A07 "a solution that the data do not bear out",
    A08 "a step that holds for the data only",
    // D: dimensions
    D01 "terms of different dimensions",
    D02 "sides of different dimensions",
    D03 "a unit of another dimension",
    D04 "a function of a dimensional quantity",
    D05 "an exponent that has a dimension",
    D06 "a dimension that is out of range",
    // R: readings with a datum
    R01 "gauge with absolute pressure",
    R02 "a gauge pressure where absolute is needed",
    R03 "a sum of points of a scale",
    R04 "an interval asked as a point",
    R05 "turns, cycles or radians: two readings",
    R06 "an atmospheric pressure that is missing",
    R07 "decibels in a product",
    R08 "a temperature in a ratio",
    R09 "a reading below absolute zero, or below vacuum",
    // E: numbers
    E01 "a division by zero",
    E02 "a root of a negative number",
    E03 "a function outside its domain",
    E04 "a number that is too large or too small",
    E05 "members that disagree",
    E06 "a claim that is wrong",
    E07 "a claim that is off by a rounding slip",
    E08 "a filled number that is not the printed one",
    E09 "lists of different lengths",
    E10 "a case distinction without a case",
    E11 "a bracket without a change of sign",
    E12 "a bracket with several roots",
    E13 "a root that was not found",
    E14 "equations that do not fix the unknowns",
    E15 "an unknown without a start",
    E16 "figures that are not certain",
    // G: sketches
    G01 "a sketch that does not say what it is of",
    G02 "a line of a sketch that cannot be read",
    G03 "something that a section has not",
    G04 "something that a sketch says twice",
    G05 "a place that a sketch has not",
    G06 "an incline that there is not",
    G07 "a support with other forces",
    G08 "a height in a view from above",
    G09 "a speed or a flow that is seen from two sides",
    G10 "something that a balance needs",
    G11 "a balance that a sketch has not",
    G12 "a force without a place",
    G13 "a pressure that counts from the other datum",
    G14 "a magnitude that is a number, or has a sign",
    G15 "one name in two directions",
    G16 "a name that is a word of sketches",
    G17 "a word for a sign that is against the sketch",
    G18 "directions that are not square to each other",
    G19 "a place that is told twice",
    G20 "a place that nothing is at",
    G21 "a shape that does not fit its sections",
    G22 "a flow that is not known",
    G23 "water whose surface lies below its line",
    G24 "a sketch that is too large",
    G25 "a vector or a list in a sketch",
    G26 "a scale that fits nothing",
    G27 "a sketch as found without a sketch",
    G28 "a force that is not the opposite of another",
    G29 "shear and moment of what is no straight member",
    G30 "a section without a place",
    G31 "a line that such a sketch has not",
    G32 "a load whose length has two readings",
    G33 "a load whose line goes the other way, or along its side",
    G34 "a wheel that accelerates, and may turn",
    G35 "water with a width beside water without",
    G36 "a rope that is no tangent of its wheel",
    // B: balances
    B01 "a sketch that does not exist",
    B02 "a term that is missing from a balance",
    B03 "a term with the wrong sign",
    B04 "another form of a term",
    B05 "a term that nothing in the sketch makes",
    B06 "a term that is nothing here",
    B07 "a factor on a term",
    B08 "an equation that differs from its balance",
    B09 "a balance that is not decided",
    B10 "more unknowns than balances",
    B11 "a result against what was drawn",
    B12 "shear and moment that do not close",
    B13 "another balance than the one named",
    B14 "flows that do not close",
    // C: checks
    C01 "a check that does not hold",
    C02 "a relative tolerance about zero",
    C03 "an equality without a tolerance",
    C04 "a trend with something that is not given",
    C05 "a trend or limit that cannot be told",
    C06 "a comparison by uncertainties that there are none of",
    C07 "limits the wrong way round",
    // K: tables of readings
    K01 "a row with too many or too few entries",
    K02 "an entry that is no number",
    K03 "an entry that is empty",
    K04 "a heading, row or condition with two readings",
    K05 "lists of different tables",
    K06 "a row that is left out without a reason, or is not there",
    K07 "a file that is not there or lies outside",
    K08 "a file that is no text",
    K09 "a file that is separated otherwise",
    K10 "a column or row that the file does not have",
    K11 "a unit other than that of the file",
    K12 "a table that is too large",
    K13 "a time that its pattern does not read",
    K14 "a total with a gap",
    K15 "words where readings are needed",
    K16 "a table that is no function",
    K17 "a place outside of a table",
    K18 "a name that another worksheet does not have",
    K19 "worksheets that take from each other",
    K20 "a column that is stated twice",
    K21 "rows that share readings",
    K22 "an angle that jumps",
    K23 "a curve that leaves out more than its table is uncertain by",
    // F: fits
    F01 "nothing to fit",
    F02 "more parameters than readings",
    F03 "a parameter that needs a start",
    F04 "a fit whose search does not end",
    F05 "parameters that cannot be told apart",
    F06 "a parameter on the left side",
    F07 "a parameter that ends at its bound",
    F08 "residuals that do not go with the uncertainties",
    F09 "residuals whose signs run",
    F10 "readings that are uncertain on the right side only",
    F11 "a reading without an uncertainty",
    F12 "a start without a value",
    F13 "too many parameters",
    F14 "rows that have no one standard deviation",
    F15 "a weight that looks like an uncertainty",
    // X: plots and their axes
    X01 "two slashes, or a quantity that no axis counts",
    X02 "a slash over what is no unit",
    X03 "a logarithmic axis from 0",
    X04 "a fit of what is not drawn",
    X05 "nothing to draw",
    X06 "too many series",
    // U: uncertainty
    U01 "correlations that cannot be",
    U02 "one reading has no scatter",
    U03 "equal readings without a resolution",
    U04 "first order does not serve",
    U05 "degrees of freedom that cannot be told",
    U06 "an uncertainty that is none",
    U07 "trials of too few degrees of freedom",
    U08 "trials that do not settle",
    U09 "trials without a value",
    U10 "a count of 0 as a weight",
    U11 "figures that the uncertainty has no place for",
    U12 "a share with two readings",
    U13 "a coverage factor with two readings",
    U14 "too many trials",
    U15 "an error of several numbers with two readings",
    U16 "a scatter of few readings as a weight",
    // P: papers
    P01 "a question without an end",
    P02 "a computed value in the question",
    P03 "working in the question",
    P04 "nearly marks",
    P05 "marks that do not add up",
    P06 "an alternative that does not stand for its section",
    P07 "a varied value in the words of the question",
    P08 "what cannot be varied",
    P09 "choices that are none",
    P10 "versions that are not found",
    P11 "an answer that is the same in all versions",
    P12 "a problem of a paper that is not there",
    P13 "a condition that cannot be read",
    P14 "too few problems for a condition",
    P15 "a worksheet with errors in a paper",
    P16 "a problem that is in a paper twice",
    P17 "a record of other papers",
    P18 "a tolerance of a temperature in per cent",
    P20 "a paper without its problems",
    P22 "versions above the problems",
    P23 "a number that may be a varied value",
    P24 "a value of version 0 in the words of the solution",
    P25 "a question that is the same in all versions",
    P26 "the same part twice",
    // L: lists of answers, and marking
    L01 "a column that is no part of the paper",
    L02 "ids that do not tell the rows apart",
    L03 "a version that is not there",
    L04 "a paper that was edited after it was printed",
    L05 "an answer that is not understood",
    L06 "an answer with two readings",
    L07 "more marks by hand than there are",
    L08 "a column of names",
    L09 "a list that cannot be read",
    L10 "answers that are those of another version",
    L11 "readings of another number than the table has",
}

impl Code {
    /// The code with this name, in either case.
    pub fn named(name: &str) -> Option<Code> {
        Self::ALL
            .iter()
            .copied()
            .find(|code| code.as_str().eq_ignore_ascii_case(name))
    }
}

impl fmt::Display for Code {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.as_str())
    }
}
