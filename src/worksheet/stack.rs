//! Threads whose stack fits what is compiled, whoever asks for it.
//!
//! Every walk over a formula recurses. How deep formulas go has stated limits, with their functions
//! written out too; what a walk needs for one level has not, and is larger while debugging. So the
//! passes run on threads of their own, all of the same stack, and not on that of the caller.

use std::sync::LazyLock;

use rayon::{ThreadPool, ThreadPoolBuildError, ThreadPoolBuilder};

/// The stack of each thread. Memory is taken up only as far as a stack is used.
const STACK: usize = 256 * 1024 * 1024;

static THREADS: LazyLock<Result<ThreadPool, ThreadPoolBuildError>> = LazyLock::new(|| {
    ThreadPoolBuilder::new()
        .stack_size(STACK)
        .thread_name(|at| format!("compile {at}"))
        .build()
});

/// Does the work on a thread with such a stack; where the system gives no threads, on this one.
pub(super) fn on_deep_stack<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    match &*THREADS {
        Ok(threads) => threads.install(work),
        Err(_) => work(),
    }
}
