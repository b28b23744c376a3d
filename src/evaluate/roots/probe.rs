//! A function of one unknown that may have no value in places.

/// A place and the value there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub(super) x: f64,
    pub(super) y: f64,
}

/// The caller's function, asked where it may have no value.
pub(super) struct Probe<'f, S> {
    function: &'f mut dyn FnMut(f64) -> Result<f64, S>,
    /// The first error that the function gave.
    pub(super) stop: Option<S>,
}

impl<'f, S> Probe<'f, S> {
    pub(super) fn new(function: &'f mut dyn FnMut(f64) -> Result<f64, S>) -> Self {
        Self {
            function,
            stop: None,
        }
    }

    /// The point at `x`; none where the function gives an error, an infinity or no number.
    pub(super) fn at(&mut self, x: f64) -> Option<Point> {
        if !x.is_finite() {
            return None;
        }
        match (self.function)(x) {
            Ok(y) => y.is_finite().then_some(Point { x, y }),
            Err(stop) => {
                self.stop.get_or_insert(stop);
                None
            }
        }
    }
}

/// Whether zero lies strictly between two values.
pub(super) fn opposite(a: f64, b: f64) -> bool {
    (a < 0.0 && b > 0.0) || (a > 0.0 && b < 0.0)
}

/// The distance of about `count` floating-point neighbours at `x`; `scale` is used at 0.
pub(super) fn ulps(x: f64, scale: f64, count: f64) -> f64 {
    let size = if x == 0.0 { scale.abs() } else { x.abs() };
    (size * f64::EPSILON * count).max(f64::MIN_POSITIVE)
}
