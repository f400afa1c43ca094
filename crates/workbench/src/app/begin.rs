//! The time before a window shows anything: what its libraries panic at then is a refusal, not a crash.
//!
//! A library of the system that is missing is met by some of what opens windows with a panic. Until the
//! first frame nothing of the user's is in danger and nothing has been shown, so such a panic is told as
//! what it is: no window can be opened here. From the first frame on a panic is a bug of this program,
//! and goes its way.

use egui::{Context, Ui};
use std::any::Any;
use std::panic::{
    AssertUnwindSafe, PanicHookInfo, catch_unwind, resume_unwind, set_hook, take_hook,
};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether the window has begun its first frame.
#[derive(Debug, Clone, Default)]
pub(super) struct Begun(Arc<AtomicBool>);

impl Begun {
    fn is_so(&self) -> bool {
        self.0.load(Ordering::Acquire)
    }

    /// Does something that opens the window. A panic of this thread before the first frame is kept off
    /// standard error and given back as its first line, without a full stop.
    pub(super) fn or_refused<T>(&self, open: impl FnOnce() -> T) -> Result<T, String> {
        let before: Arc<Hook> = take_hook().into();
        let (begun, told, here) = (self.clone(), before.clone(), std::thread::current().id());
        set_hook(Box::new(move |info| {
            if begun.is_so() || std::thread::current().id() != here {
                told(info);
            }
        }));
        let done = catch_unwind(AssertUnwindSafe(open));
        set_hook(Box::new(move |info| before(info)));
        done.map_err(|panic| {
            if self.is_so() {
                resume_unwind(panic);
            }
            first_line(&*panic)
        })
    }
}

type Hook = dyn Fn(&PanicHookInfo<'_>) + Send + Sync;

fn first_line(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
    let line = text.and_then(|text| text.lines().next());
    let line = line.unwrap_or("it does not say which");
    line.trim_end_matches('.').to_owned()
}

/// The window's content, which says when it has begun.
pub(super) struct Beginning {
    pub(super) app: Box<dyn eframe::App>,
    pub(super) shows: Begun,
}

impl eframe::App for Beginning {
    fn logic(&mut self, ctx: &Context, frame: &mut eframe::Frame) {
        self.shows.0.store(true, Ordering::Release);
        self.app.logic(ctx, frame);
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        self.app.ui(ui, frame);
    }

    fn on_exit(&mut self) {
        self.app.on_exit();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One test, as there is one hook for all threads.
    #[test]
    fn a_panic_is_a_refusal_before_the_first_frame_and_a_panic_after_it() {
        let begun = Begun::default();
        assert_eq!(begun.or_refused(|| 7), Ok(7));
        let missing = || -> u8 { panic!("library libx.so could not be loaded.\nand more") };
        let refused = begun.or_refused(missing);
        assert_eq!(
            refused,
            Err("library libx.so could not be loaded".to_owned())
        );
        let after = catch_unwind(|| {
            begun.or_refused(|| -> u8 {
                begun.0.store(true, Ordering::Release);
                panic!("a bug")
            })
        });
        assert!(after.is_err());
    }
}
