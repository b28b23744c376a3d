//! Papers: from worksheets to question papers, and from lists of answers to marks.
//!
//! In go compiled worksheets and the bytes of lists; where they come from is left to `commands`.

pub mod versions;
