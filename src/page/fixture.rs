//! A worksheet for tests, put together by hand.

use std::sync::Arc;

use super::*;
use crate::diagnostic::Code;
use crate::document::FrontMatter;
use crate::resolve::{Expr, Shape};
use crate::syntax::{BlockKind, Relation};
use crate::text::Span;
use crate::typeset::fixture::{Formulas, shown, unit, written};
use crate::worksheet::{Body, Part, PartKind, Problem, Prose, Shown, Statement, Value, Work};

/// Collects the parts of a worksheet.
#[derive(Default)]
pub(crate) struct Sheet {
    pub(crate) formulas: Formulas,
    pub(crate) parts: Vec<Part>,
    pub(crate) diagnostics: Vec<Diagnostic>,
    statements: Vec<Statement>,
    labels: usize,
}

impl Sheet {
    pub(crate) fn finish(self, front: FrontMatter) -> Worksheet {
        Worksheet {
            source: Arc::new(self.formulas.source()),
            front,
            symbols: self.formulas.symbols,
            problems: vec![Problem { title: None }],
            parts: self.parts,
            diagnostics: self.diagnostics,
            asks: Vec::new(),
        }
    }

    pub(crate) fn heading(&mut self, level: u8, text: &str) {
        let content = vec![Prose::Html(text.to_owned())];
        self.part(PartKind::Heading {
            level,
            id: format!("h-{}", text.to_lowercase().replace(' ', "-")),
            text: text.to_owned(),
            content,
        });
    }

    pub(crate) fn prose(&mut self, content: Vec<Prose>) {
        self.part(PartKind::Prose(content));
    }

    pub(crate) fn html(&mut self, html: &str) {
        self.prose(vec![Prose::Html(html.to_owned())]);
    }

    fn part(&mut self, kind: PartKind) {
        self.parts.push(Part {
            problem: 0,
            span: Span::default(),
            kind,
        });
    }

    /// Ends a block with the statements since the last one.
    pub(crate) fn block(&mut self, kind: BlockKind) {
        let statements = std::mem::take(&mut self.statements);
        self.part(PartKind::Block { kind, statements });
    }

    pub(crate) fn statement(&mut self, body: Body, description: &str) -> &mut Statement {
        let index = self.statements.len();
        let description = match description {
            "" => Vec::new(),
            text => vec![Prose::Html(text.to_owned())],
        };
        self.statements.push(Statement {
            id: format!("q0-{}-{index}", self.parts.len()),
            span: Span::default(),
            line: index + 1,
            label: None,
            body,
            description,
            diagnostics: Vec::new(),
        });
        &mut self.statements[index]
    }

    pub(crate) fn label(&mut self) {
        self.labels += 1;
        let number = self.labels;
        if let Some(last) = self.statements.last_mut() {
            last.label = Some(("label".to_owned(), number));
        }
    }

    pub(crate) fn given(&mut self, key: &str, shown: Shown, description: &str) {
        let symbol = self.formulas.symbol(key);
        let formula = None;
        let body = Body::Given {
            symbol,
            formula,
            shown: Arc::new(shown),
        };
        self.statement(body, description);
    }

    pub(crate) fn equation(&mut self, members: &[&str]) {
        let members = self.read(members);
        let note = None;
        self.statement(Body::Equation { members, note }, "");
    }

    pub(crate) fn read(&mut self, members: &[&str]) -> Vec<Expr> {
        members.iter().map(|it| self.formulas.read(it)).collect()
    }

    pub(crate) fn work(
        &mut self,
        members: &[&str],
        operands: &[(&str, Shown)],
        shown: Shown,
        description: &str,
    ) -> &mut Work {
        let mut members = self.read(members);
        let lead = members.remove(0);
        let operands = operands
            .iter()
            .map(|(key, shown)| (self.formulas.symbol(key), Arc::new(shown.clone())))
            .collect();
        let work = Work {
            lead,
            members,
            from: None,
            convergence: None,
            conditions: Vec::new(),
            operands,
            shown: Arc::new(shown),
            claim: None,
        };
        match &mut self.statement(Body::Work(Box::new(work)), description).body {
            Body::Work(work) => work,
            _ => unreachable!("the statement was just made"),
        }
    }

    pub(crate) fn check(&mut self, sides: [(&str, Shown); 2], relation: Relation, holds: bool) {
        let members = sides
            .into_iter()
            .map(|(side, shown)| (self.formulas.read(side), shown))
            .collect();
        let body = Body::Check {
            members,
            relations: vec![relation],
            within: None,
            holds,
        };
        self.statement(body, "");
    }

    /// A diagnostic at a line of source that is added to the text.
    pub(crate) fn refuse(&mut self, source: &str, diagnostic: impl FnOnce(Span) -> Diagnostic) {
        let start = self.formulas.text.len();
        self.formulas.text.push_str(source);
        self.formulas.text.push('\n');
        let span = Span::new(start, start + source.len());
        self.diagnostics.push(diagnostic(span));
        let index = self.diagnostics.len() - 1;
        let statement = self.statement(Body::Refused, "");
        statement.span = span;
        statement.diagnostics.push(index);
    }
}

fn anchor_block() -> Sheet {
    let mut sheet = Sheet::default();
    let theta = sheet.formulas.read("theta");
    let d_1 = sheet.formulas.read("D_1");
    let ask = |lead: &Expr, number: &str, unit_source: &str| {
        Prose::Value(Box::new(Value {
            span: Span::default(),
            lead: Some(lead.clone()),
            conditions: Vec::new(),
            shown: written(number, unit_source),
        }))
    };
    sheet.heading(1, "Anchor block at a penstock bend");
    sheet.prose(vec![
        Prose::Html("<p>Water flows down a steel penstock that leaves the hillside at ".into()),
        ask(&theta, "35", "°"),
        Prose::Html(
            " below the horizontal and turns level at an anchor block. The bend narrows from "
                .into(),
        ),
        ask(&d_1, "600", "mm"),
        Prose::Html(" to a smaller bore, and <em>the guiding relation</em> is ".into()),
        Prose::Tex {
            tex: r"F = \frac{\rho Q V}{2}".into(),
            display: false,
            span: Span::default(),
        },
        Prose::Html(".</p>\n".into()),
    ]);
    given(&mut sheet);
    let symbol = sheet.formulas.symbol("R_x");
    sheet.statement(
        Body::Required {
            symbol,
            unit: Some(unit("kN")),
            positive: Some("downstream".into()),
            negative: Some("upstream".into()),
        },
        "force of the block on the water, along the level pipe",
    );
    sheet.block(BlockKind::Required);
    sheet.heading(2, "Balance of momentum");
    sheet.html("<p>The balance of momentum along the level pipe, with both pressures read as gauge, is</p>\n");
    sheet.equation(&[
        "R_x + p_1 A_1 cos(theta) - p_2 A_2",
        "mdot (V_2 - V_1 cos(theta))",
    ]);
    sheet.label();
    sheet.equation(&[
        "R_x",
        "mdot (V_2 - V_1 cos(theta)) - p_1 A_1 cos(theta) + p_2 A_2",
    ]);
    sheet.label();
    sheet.block(BlockKind::Derive);
    sheet.prose(vec![
        Prose::Html("<p>With the areas and the velocities known, equation ".into()),
        Prose::Reference {
            label: "balance".into(),
            number: 2,
            target: "q0-6-1".into(),
            text: None,
        },
        Prose::Html(" gives the force.</p>\n".into()),
    ]);
    numbers(&mut sheet);
    let less = [
        ("p_1 A_1 cos(theta)", shown(97.27, "kN")),
        ("p_2 A_2", shown(65.21, "kN")),
    ];
    sheet.check(less, Relation::Greater, true);
    let more = [
        ("V_2", shown(5.344, "m/s")),
        ("{5 m/s}", written("5", "m/s")),
    ];
    sheet.check(more, Relation::Less, false);
    sheet.block(BlockKind::Check);
    let expr = sheet.formulas.read("R_x");
    sheet.statement(
        Body::Answer {
            expr,
            shown: Box::new(shown(-29.62, "kN")),
            direction: Some(Box::new(("upstream".into(), shown(29.62, "kN")))),
        },
        "",
    );
    sheet.block(BlockKind::Answer);
    sheet
}

fn given(sheet: &mut Sheet) {
    let gauge = |number: &str| Shown {
        word: Some("gauge"),
        ..written(number, "kPa")
    };
    sheet.given(
        "D_1",
        written("600", "mm"),
        "inside diameter above the bend",
    );
    sheet.given(
        "D_2",
        written("450", "mm"),
        "inside diameter below the bend",
    );
    sheet.given("theta", written("35", "°"), "slope above the bend");
    sheet.given("Q", written("0.850", "m^3/s"), "flow rate");
    sheet.given("p_1", gauge("420"), "pressure above the bend");
    sheet.given("p_2", gauge("410"), "pressure below the bend");
    sheet.given("rho", written("999", "kg/m^3"), "density of water");
    sheet.block(BlockKind::Given);
}

fn numbers(sheet: &mut Sheet) {
    let flow = ("Q", written("0.850", "m^3/s"));
    let (d_1, d_2) = (written("600", "mm"), written("450", "mm"));
    let (area_1, area_2) = (shown(0.28274, "m^2"), shown(0.15904, "m^2"));
    let (v_1, v_2) = (shown(3.006, "m/s"), shown(5.3445, "m/s"));
    sheet.work(
        &["A_1", "pi D_1^2/4"],
        &[("D_1", d_1.clone())],
        area_1.clone(),
        "",
    );
    sheet.work(
        &["A_2", "pi D_2^2/4"],
        &[("D_2", d_2.clone())],
        area_2.clone(),
        "",
    );
    let rho = ("rho", written("999", "kg/m^3"));
    sheet.work(
        &["mdot", "rho Q"],
        &[rho, flow.clone()],
        shown(849.15, "kg/s"),
        "mass flow",
    );
    let operands = [flow.clone(), ("A_1", area_1.clone())];
    sheet.work(
        &["V_1", "Q/A_1"],
        &operands,
        v_1.clone(),
        "velocity above the bend",
    );
    let operands = [
        flow,
        ("A_2", area_2.clone()),
        ("V_1", v_1.clone()),
        ("D_1", d_1),
        ("D_2", d_2),
    ];
    sheet.work(
        &["V_2", "Q/A_2", "V_1 (D_1/D_2)^2"],
        &operands,
        v_2.clone(),
        "velocity below the bend, from continuity and again from the ratio of the bores",
    );
    let operands = [
        ("mdot", shown(849.15, "kg/s")),
        ("V_1", v_1),
        ("V_2", v_2),
        ("theta", written("35", "°")),
        ("p_1", written("420", "kPa")),
        ("p_2", written("410", "kPa")),
        ("A_1", area_1),
        ("A_2", area_2),
    ];
    let formula = "mdot (V_2 - V_1 cos(theta)) - p_1 A_1 cos(theta) + p_2 A_2";
    sheet
        .work(&["R_x", formula], &operands, shown(-29.62, "kN"), "")
        .from = Some(2);
    let condition = (sheet.formulas.symbol("Q"), written("1.10", "m^3/s"));
    sheet
        .work(&["R_x"], &[], shown(-28.4, "kN"), "at the largest flow")
        .conditions
        .push(condition);
    sheet.block(BlockKind::Work);
}

/// A page with all that is usual.
pub(crate) fn penstock() -> Worksheet {
    anchor_block().finish(FrontMatter {
        title: Some("Anchor block at a penstock bend".into()),
        author: Some("Hydraulics group".into()),
        date: Some("2026-03-14".into()),
        course: Some("Fluid mechanics II".into()),
        ..FrontMatter::default()
    })
}

/// A page with what can go wrong, and with wide and odd formulas.
pub(crate) fn troubled() -> Worksheet {
    let mut sheet = Sheet::default();
    sheet.heading(1, "A line that is refused");
    sheet.refuse("Q/A_1 L = ? m", |span| {
        Diagnostic::error(Code::S02, span, "`Q/A_1 L` has two readings")
            .with_help("`Q/(A_1 L)` or `(Q/A_1) L`")
    });
    let needs = vec![(sheet.formulas.symbol("V_1"), 1)];
    let members = sheet.read(&["h", "V_1^2/(2 g)"]);
    sheet.statement(Body::NotEvaluated { members, needs }, "");
    let long = "1/2 + 1/2*P_1/(P_1 + N_2) + (a_1 b_1 + a_2 b_2 + a_3 b_3 + a_4 b_4 + a_5 b_5 + a_6 b_6 \
        + a_7 b_7 + a_8 b_8 + a_9 b_9 + a_10 b_10 + a_11 b_11 + a_12 b_12 + a_13 b_13)/(c + d)";
    sheet.work(
        &["k_2", long],
        &[],
        shown(0.7354, ""),
        "a long one, with a description",
    );
    let friction = "0.25/log10(e_1/(3.7*d_1) + 5.74/R_1^0.9)^2";
    let values = [
        ("e_1", written("0.15", "mm")),
        ("d_1", written("80.0", "mm")),
        ("R_1", shown(1.234e5, "")),
    ];
    sheet.work(
        &["f_1", friction],
        &values,
        shown(0.02371, ""),
        "friction factor",
    );
    let cases = "cases(64/Re for Re < 2300, f_t otherwise)";
    sheet.work(&["f", cases], &[], shown(0.02371, ""), "");
    let list = Shown {
        shape: Shape::List,
        digits: [1.0, -2.5, 3e9, 4.0, 5.0, 6.0, 7.0]
            .map(|value| crate::quantity::to_figures(value, 3))
            .to_vec(),
        ..shown(1.0, "m")
    };
    sheet.work(&["x_i", "2 y_i"], &[], list, "");
    let uncertain = Shown {
        uncertainty: Some(crate::quantity::to_figures(0.041, 2)),
        ..shown(50.02, "mm")
    };
    sheet.work(&["Delta_L_max", "|L_2 - L_1|"], &[], uncertain, "measured");
    sheet.block(BlockKind::Work);
    let span = Span::new(0, 5);
    sheet
        .diagnostics
        .push(Diagnostic::warning(Code::M05, span, "`<b>` & so on"));
    let failed = Prose::Failed {
        span,
        diagnostics: vec![1],
        needs: Vec::new(),
    };
    sheet.prose(vec![
        Prose::Html("<p>It is ".into()),
        failed,
        Prose::Html(".</p>".into()),
    ]);
    sheet.finish(FrontMatter::default())
}
