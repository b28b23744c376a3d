//! A name of another worksheet.

use std::sync::Arc;

use super::Line;
use crate::evaluate::Value;
use crate::resolve::statement::Ask;
use crate::resolve::{Taken, TakenAs};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, From};

impl Builder<'_> {
    pub(super) fn taken(
        &mut self,
        line: Line<'_>,
        taken: &Taken,
        value: Option<&Arc<Value>>,
    ) -> Body {
        let at = taken.at.iter();
        let from = Some(Box::new(From {
            file: taken.file.clone(),
            at: at
                .map(|(called, stands, _)| (*called, stands.clone()))
                .collect(),
        }));
        match (&taken.what, value) {
            (TakenAs::Quantity(symbol, _), Some(value)) => {
                let ask = Ask {
                    unit: self.checked.units.get(symbol).cloned(),
                    ..Ask::default()
                };
                let shown = Arc::new(self.result(line.problem, value, line.found, &ask));
                self.tables.shown.insert(*symbol, Arc::clone(&shown));
                Body::Given {
                    symbol: *symbol,
                    formula: None,
                    shown,
                    from,
                }
            }
            (TakenAs::Function(function, body), _) => Body::Function {
                function: *function,
                body: body.clone(),
                table: None,
                from,
            },
            (TakenAs::Quantity(..), None) => Body::Refused,
        }
    }
}
