//! What a straight member holds together at a cut: its functions at the end of it.

use crate::dimensions::infer::Inference;
use crate::dimensions::{Form, Type};
use crate::mechanics::Inner;
use crate::quantity::Exponent;
use crate::resolve::statement::Cut;

impl<'a> Inference<'a> {
    /// The type of its forces, which a moment tells too where no force acts.
    pub(super) fn cut(&mut self, cut: &'a Cut) -> Option<Type> {
        for form in &cut.forms {
            self.bodies.insert(form.function, &form.body);
        }
        let found: Vec<Option<Type>> = (cut.forms.iter())
            .map(|form| self.infer(&form.at_the_end))
            .collect();
        let found: Vec<Type> = found.into_iter().collect::<Option<_>>()?;
        let length = self.infer(&cut.length)?;
        let mut all = cut.forms.iter().zip(found);
        let told = all.find(|(form, _)| cut.has(form.inner));
        Some(match told {
            Some((form, found)) if form.inner == Inner::Moment => {
                let over = found.form.times(&length.form, Exponent::from_integer(-1));
                Type::plain(over.unwrap_or_default())
            }
            Some((_, found)) => Type::plain(found.form),
            None => Type::plain(Form::default()),
        })
    }
}
