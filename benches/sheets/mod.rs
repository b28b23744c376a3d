//! Worksheets of any size.

use std::fmt::Write;

pub const SECTIONS: [usize; 4] = [1, 10, 100, 1000];

/// A worksheet of `sections` sections in which each takes one result from the one before.
pub fn worksheet_text(sections: usize) -> String {
    let mut text = String::from("---\ntitle: Plant check\nfigures: 5\n---\n");
    let mut before = "3.2 kW".to_owned();
    for section in 1..=sections {
        let _ = write!(
            text,
            "\n## {section}. Feed line\n\nThe survey gave values on the safe side, such as `d_{section} = ? mm`; \
             where a figure is **disputed**, the larger one is kept, as in $\\Delta p = f\\frac{{L}}{{d}}$.\n\n\
             ```given\nd_{section} = 80 mm -- bore of the pipe\nl_{section} = 42 m -- developed length\n\
             q_{section} = 6.5 L/s -- volume flow\nr_{section} = 998 kg/m^3 -- density\n\
             m_{section} = 1.1 mPa s -- dynamic viscosity\ne_{section} = 0.1 mm -- wall roughness\n\
             c_{section} = 0.71 -- pump efficiency\nB_{section} = {before} -- handed over\n```\n\n\
             ```work\nA_{section} = pi*d_{section}^2/4 = ? cm^2 -- flow area\n\
             v_{section} = q_{section}/A_{section} = ? m/s -- mean velocity\n\
             R_{section} = r_{section}*v_{section}*d_{section}/m_{section} = ? -- Reynolds number\n\
             f_{section} = 0.25/log10(e_{section}/(3.7*d_{section}) + 5.74/R_{section}^0.9)^2 = ? -- friction factor\n\
             p_{section} = f_{section}*l_{section}/d_{section}*r_{section}*v_{section}^2/2 = ? kPa -- friction loss\n\
             P_{section} = p_{section}*q_{section}/c_{section} + 0.5 B_{section} = ? kW -- shaft power\n```\n"
        );
        before = format!("1*P_{section}");
    }
    text
}
