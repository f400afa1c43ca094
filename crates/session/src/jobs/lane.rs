//! The thread of one kind of job, and the one request that waits for it.
//!
//! A request that waits is replaced by a newer one; one that runs is told to stop, or let finish, by
//! its kind. Dropping the lane cancels both and lets the thread end by itself.

use super::control::JobControl;
use super::kind::{JobError, JobKind, OnNewer};
use super::output::Output;
use super::runner::{Message, Wake};
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::any::Any;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::SyncSender;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// Where a job puts its outputs, as soon as it has them.
#[derive(Debug)]
pub(crate) struct Outbox<'a> {
    kind: JobKind,
    ticket: u64,
    sender: &'a SyncSender<Message>,
    wake: &'a Wake,
}

impl Outbox<'_> {
    /// Hands an output over. Waits while the session has not taken earlier ones; an error says that
    /// there is no session any more.
    pub(crate) fn put(&self, output: Output) -> Result<(), JobError> {
        let message = Message::Output {
            kind: self.kind,
            ticket: self.ticket,
            output: Box::new(output),
        };
        let sent = self.sender.send(message);
        self.wake.wake();
        sent.map_err(|_gone| JobError::Cancelled)
    }
}

/// What a job does.
pub(crate) type Work =
    Box<dyn FnOnce(&JobControl, &Outbox<'_>) -> Result<(), JobError> + Send + 'static>;

/// A request.
pub(super) struct Task {
    pub(super) control: Arc<JobControl>,
    pub(super) work: Work,
}

#[derive(Default)]
struct Slot {
    waiting: Option<Task>,
    running: Option<Arc<JobControl>>,
    closed: bool,
}

#[derive(Default)]
struct Shared {
    slot: Mutex<Slot>,
    changed: Condvar,
}

impl Shared {
    fn slot(&self) -> MutexGuard<'_, Slot> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The thread of one kind of job.
pub(super) struct Lane {
    shared: Arc<Shared>,
    on_newer: OnNewer,
}

impl Lane {
    /// Starts the thread.
    pub(super) fn start(
        kind: JobKind,
        sender: SyncSender<Message>,
        wake: Wake,
    ) -> io::Result<Self> {
        let shared = Arc::new(Shared::default());
        let theirs = Arc::clone(&shared);
        let crew = kind.may_wait().then(|| crew(kind, &wake)).transpose()?;
        thread::Builder::new()
            .name(kind.thread_name().into())
            .spawn(move || {
                wake.thread_started();
                run(kind, crew.as_ref(), &theirs, &sender, &wake);
            })?;
        Ok(Self {
            shared,
            on_newer: kind.on_newer(),
        })
    }

    /// Asks for a task. The one that waited is dropped.
    pub(super) fn submit(&self, task: Task) {
        let mut slot = self.shared.slot();
        if let (OnNewer::Cancel, Some(running)) = (self.on_newer, &slot.running) {
            running.cancel();
        }
        let older = slot.waiting.replace(task);
        drop(slot);
        drop(older);
        self.shared.changed.notify_all();
    }

    /// Cancels what waits and what runs.
    pub(super) fn cancel(&self) {
        let mut slot = self.shared.slot();
        let waiting = slot.waiting.take();
        if let Some(running) = &slot.running {
            running.cancel();
        }
        drop(slot);
        drop(waiting);
    }

    /// The job in progress: the one that runs, else the one that waits.
    pub(super) fn current(&self) -> Option<Arc<JobControl>> {
        let slot = self.shared.slot();
        let waiting = slot.waiting.as_ref().map(|task| &task.control);
        let running = slot.running.as_ref().filter(|job| !job.is_cancelled());
        running.or(waiting).cloned()
    }

    /// Whether a task waits that nobody has taken up.
    #[cfg(test)]
    pub(super) fn shared_is_waiting(&self) -> bool {
        self.shared.slot().waiting.is_some()
    }

    /// Whether nothing waits and nothing runs, cancelled or not.
    pub(super) fn is_idle(&self) -> bool {
        let slot = self.shared.slot();
        slot.waiting.is_none() && slot.running.is_none()
    }
}

impl Drop for Lane {
    fn drop(&mut self) {
        self.cancel();
        self.shared.slot().closed = true;
        self.shared.changed.notify_all();
    }
}

/// Threads for a job that may have to stand still. Of the pool that all share none may: it would be
/// missed by the very work that is waited for, and that work would lie in the pool until a thread
/// there had nothing else to do.
fn crew(kind: JobKind, wake: &Wake) -> io::Result<ThreadPool> {
    let wake = wake.clone();
    ThreadPoolBuilder::new()
        .start_handler(move |_| wake.thread_started())
        .num_threads(rayon::current_num_threads())
        .thread_name(move |index| format!("{} {index}", kind.thread_name()))
        .build()
        .map_err(io::Error::other)
}

/// The life of a lane's thread.
fn run(
    kind: JobKind,
    crew: Option<&ThreadPool>,
    shared: &Shared,
    sender: &SyncSender<Message>,
    wake: &Wake,
) {
    while let Some(Task { control, work }) = next(shared) {
        let ticket = control.ticket();
        let outbox = Outbox {
            kind,
            ticket,
            sender,
            wake,
        };
        let result = catch_unwind(AssertUnwindSafe(|| match crew {
            Some(crew) => crew.install(|| work(&control, &outbox)),
            None => work(&control, &outbox),
        }));
        let result = result.unwrap_or_else(|panic| {
            Err(JobError::Panicked {
                kind,
                message: in_words(panic.as_ref()),
            })
        });
        control.end();
        shared.slot().running = None;
        let ended = sender.send(Message::Ended {
            kind,
            ticket,
            result,
        });
        wake.wake();
        if ended.is_err() {
            return;
        }
    }
}

/// Waits for the next task; none when the lane is closed.
fn next(shared: &Shared) -> Option<Task> {
    let mut slot = shared.slot();
    loop {
        if slot.closed {
            return None;
        }
        if let Some(task) = slot.waiting.take() {
            slot.running = Some(Arc::clone(&task.control));
            return Some(task);
        }
        let woken = shared.changed.wait(slot);
        slot = woken.unwrap_or_else(PoisonError::into_inner);
    }
}

fn in_words(panic: &(dyn Any + Send)) -> String {
    panic
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no words".into())
}
