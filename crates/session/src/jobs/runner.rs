//! All lanes, and the bounded channel their messages come back on.

use super::control::JobControl;
use super::kind::{JobError, JobKind, JobState};
use super::lane::{Lane, Task, Work};
use super::output::Output;
use super::turn::Queue;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// How the session's threads stand to the UI: how they wake it, and what they do before their first job.
#[derive(Clone)]
pub struct Wake {
    wake: Arc<dyn Fn() + Send + Sync>,
    at_start: fn(),
}

impl Wake {
    /// Wakes by a callback, which must be quick and must not call back into the session.
    pub fn new(wake: impl Fn() + Send + Sync + 'static) -> Self {
        Self {
            wake: Arc::new(wake),
            at_start: || {},
        }
    }

    /// The same, and each thread of the session first does this: such as to stand back behind the UI's.
    #[must_use]
    pub fn at_start(self, at_start: fn()) -> Self {
        Self { at_start, ..self }
    }

    /// Wakes nobody: for programs that ask by themselves.
    pub fn nobody() -> Self {
        Self::new(|| {})
    }

    pub(crate) fn wake(&self) {
        (self.wake)();
    }

    pub(super) fn thread_started(&self) {
        (self.at_start)();
    }
}

impl fmt::Debug for Wake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Wake")
    }
}

/// What comes back from a lane.
#[derive(Debug)]
pub(crate) enum Message {
    /// Something a job made; it may make more.
    Output {
        kind: JobKind,
        ticket: u64,
        output: Box<Output>,
    },
    /// A job is over.
    Ended {
        kind: JobKind,
        ticket: u64,
        result: Result<(), JobError>,
    },
}

/// Messages that may wait for the session. Jobs wait beyond it.
const MESSAGES: usize = 32;

/// All lanes.
pub(crate) struct Runner {
    lanes: BTreeMap<JobKind, Lane>,
    /// The newest request of each kind: outputs of older ones are discarded.
    newest: BTreeMap<JobKind, u64>,
    next_ticket: u64,
    sender: SyncSender<Message>,
    receiver: Receiver<Message>,
    queue: Arc<Queue>,
    wake: Wake,
}

impl fmt::Debug for Runner {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Runner")
            .field("newest", &self.newest)
            .finish_non_exhaustive()
    }
}

impl Runner {
    pub(crate) fn new(wake: Wake) -> Self {
        let (sender, receiver) = sync_channel(MESSAGES);
        Self {
            lanes: BTreeMap::new(),
            newest: BTreeMap::new(),
            next_ticket: 0,
            sender,
            receiver,
            queue: Arc::default(),
            wake,
        }
    }

    /// Asks for a job. Its thread is started when it is first needed.
    ///
    /// # Errors
    /// [`JobError::NoThread`].
    pub(crate) fn submit(&mut self, kind: JobKind, work: Work) -> Result<(), JobError> {
        self.next_ticket += 1;
        let ticket = self.next_ticket;
        let control = JobControl::new(kind, ticket, &self.queue, self.wake.clone());
        let task = Task {
            control: Arc::new(control),
            work,
        };
        if !self.lanes.contains_key(&kind) {
            let started = Lane::start(kind, self.sender.clone(), self.wake.clone());
            let lane = started.map_err(|error| JobError::NoThread {
                kind,
                reason: error.to_string(),
            })?;
            self.lanes.insert(kind, lane);
        }
        if let Some(lane) = self.lanes.get(&kind) {
            lane.submit(task);
        }
        self.newest.insert(kind, ticket);
        Ok(())
    }

    /// Cancels the job of a kind, if there is one. Nothing of it is heard any more.
    pub(crate) fn cancel(&mut self, kind: JobKind) {
        self.newest.remove(&kind);
        if let Some(lane) = self.lanes.get(&kind) {
            lane.cancel();
        }
    }

    /// The next message, if there is one. Whether it is still wanted is another question.
    pub(crate) fn take(&self) -> Option<Message> {
        self.receiver.try_recv().ok()
    }

    /// Whether a request is the newest of its kind and was not cancelled.
    pub(crate) fn is_newest(&self, kind: JobKind, ticket: u64) -> bool {
        self.newest.get(&kind) == Some(&ticket)
    }

    /// Whether a job of this kind has been asked for and is not over.
    pub(crate) fn is_wanted(&self, kind: JobKind) -> bool {
        self.newest.contains_key(&kind)
    }

    /// Notes that the newest job of a kind is over.
    pub(crate) fn ended(&mut self, kind: JobKind, ticket: u64) {
        if self.is_newest(kind, ticket) {
            self.newest.remove(&kind);
        }
    }

    /// The jobs in progress that are the user's business.
    pub(crate) fn jobs(&self) -> Vec<JobState> {
        self.lanes
            .iter()
            .filter(|(kind, _)| **kind != JobKind::Autosave && self.newest.contains_key(kind))
            .filter_map(|(_, lane)| Some(lane.current()?.state()))
            .collect()
    }

    /// Whether the thread of a kind has nothing left to do, not even something cancelled.
    pub(crate) fn is_idle(&self, kind: JobKind) -> bool {
        self.lanes.get(&kind).is_none_or(Lane::is_idle)
    }
}

#[cfg(test)]
mod tests;
