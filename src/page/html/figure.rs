//! Figures: the drawing, its caption, and what was drawn.

use super::super::tree::{Figure, FigureData, Picture};
use super::{Writer, escape};
use crate::drawing::svg;

/// A sketch of this width is two thirds of it in the column of the narrowest window (320 pixels,
/// less margins and a bar to scroll by): its letters are as small as they may be, 10.7 pixels high.
const MOST_SHRUNK: f64 = 408.0;

/// One of this width is two thirds of it in the style sheet's `.frame`, and a wider one, which has
/// at most a full column, in `.broad`.
const MOST_FRAMED: f64 = 504.0;

impl Writer<'_> {
    /// A picture of the author.
    pub(super) fn picture(&mut self, picture: &Picture) {
        self.statement("figure class=\"picture\"", Some(&picture.id), |writer| {
            writer.out.push('\n');
            writer.image(&picture.image);
            writer.out.push('\n');
            writer.element("figcaption", |writer| writer.text(&picture.caption));
            writer.out.push('\n');
        });
        self.out.push('\n');
    }

    pub(super) fn figure(&mut self, figure: &Figure) {
        self.statement("figure", Some(&figure.id), |writer| {
            writer.out.push('\n');
            match &figure.narrow {
                Some(narrow) => {
                    // The lines of a member are told in words, as a sketch is, and not in a table.
                    let [wide, small] = match figure.is_sketch {
                        true => ["drawing diagram wide", "drawing diagram narrow"],
                        false => ["drawing wide", "drawing narrow"],
                    };
                    svg::write(&figure.wide, wide, writer.out);
                    writer.out.push('\n');
                    svg::write(narrow, small, writer.out);
                }
                // What would be too small on a narrow screen keeps its size there, and is scrolled.
                None if figure.is_sketch && figure.wide.width > MOST_SHRUNK => {
                    let frame = match figure.wide.width > MOST_FRAMED {
                        true => "div class=\"frame broad\" tabindex=\"0\"",
                        false => "div class=\"frame\" tabindex=\"0\"",
                    };
                    writer.element(frame, |writer| {
                        svg::write(&figure.wide, "drawing sketch", writer.out);
                    });
                }
                None if figure.is_sketch => {
                    svg::write(&figure.wide, "drawing sketch", writer.out);
                }
                None => svg::write(&figure.wide, "drawing", writer.out),
            }
            writer.out.push('\n');
            writer.element("figcaption", |writer| writer.text(&figure.caption));
            writer.out.push('\n');
            figure.data.iter().for_each(|data| writer.figure_data(data));
        });
        self.out.push('\n');
    }

    fn figure_data(&mut self, data: &FigureData) {
        self.element("details", |writer| {
            writer.element("summary", |writer| escape::text(writer.out, &data.name));
            writer.out.push('\n');
            writer.element("table", |writer| {
                writer.element("thead", |writer| {
                    writer.element("tr", |writer| {
                        for heading in &data.headings {
                            writer.head_cell("th scope=\"col\"", &heading.0);
                        }
                    });
                });
                writer.out.push('\n');
                writer.element("tbody", |writer| {
                    for row in &data.rows {
                        writer.element("tr", |writer| {
                            for cell in row {
                                writer.element("td", |writer| writer.text(cell));
                            }
                        });
                        writer.out.push('\n');
                    }
                });
            });
        });
        self.out.push('\n');
    }
}
