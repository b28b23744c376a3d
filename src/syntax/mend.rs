//! The edits with which a refused line can be read.
//!
//! A fix of a line is offered only where the line can be read after it, up to a mistake further
//! on; this is found by reading it again.

use super::reader::Read;
use super::{BlockKind, forms, statement};
use crate::diagnostic::{Code, Decision, Diagnostic};

/// Takes from the refusal of a line those fixes with which it cannot be read.
pub(super) fn keep_readable(refusal: &mut Diagnostic, kind: BlockKind, body: &str, start: usize) {
    keep(refusal, body, start, |mended| {
        statement::statement(kind, mended, start, &mut Vec::new()).map(|_| ())
    });
}

/// The same for an inline ask.
pub(super) fn keep_readable_inline(refusal: &mut Diagnostic, body: &str, start: usize) {
    keep(refusal, body, start, |mended| {
        forms::inline(mended, start).map(|_| ())
    });
}

fn keep(refusal: &mut Diagnostic, body: &str, start: usize, read: impl Fn(&str) -> Read<()>) {
    let refused = refusal.span;
    refusal.fixes.retain(|fix| {
        if fix.decision == Decision::Complete {
            return true;
        }
        let Some(mended) = fix.applied_at(body, start as u32) else {
            return false;
        };
        match read(&mended) {
            Ok(()) => true,
            Err(next) => {
                let last = fix.edits.last().map_or(0, |edit| edit.span.end);
                let end = refused.end.max(last) as usize;
                let is_further_on = next.span.start as usize + body.len() > end + mended.len();
                next.code != Code::S01 && is_further_on
            }
        }
    });
}
