//! The flow of least cost from sessions over evenings and nested limits to a sink, kept with prices
//! that prove it, one session at a time.
//!
//! A session enters by the shortest path to the sink; it leaves by the shortest path from the sink
//! to the evening that it gave up. Both are Dijkstra's search over what a step would cost beyond
//! the prices, which is never negative. The price `y(v)` of a node is what one more unit through it
//! costs from there on, and `u(s)` what session `s` costs in all:
//!
//! ```text
//! u(s) <= c(s,e) + y(e), equal where s has e        y(v) >= y(parent) where v is full
//! y(v) <= y(parent) where v has room                y(v)  = y(parent) where v has room and is used
//! ```

use crate::moves_model::{Model, NEVER, NOBODY, Units};

/// What each pair costs now: with the prices of limits, without what has been ruled out.
#[derive(Debug, Clone)]
pub(crate) struct Costs {
    pub(crate) pairs: Vec<Units>,
    pub(crate) stays: Vec<Units>,
}

impl Costs {
    pub(crate) fn row(&self, s: usize, evenings: usize) -> &[Units] {
        &self.pairs[s * evenings..(s + 1) * evenings]
    }

    /// What a session pays at an evening, or for staying.
    pub(crate) fn of(&self, s: usize, e: usize, evenings: usize) -> Units {
        if e < evenings { self.pairs[s * evenings + e] } else { self.stays[s] }
    }
}

/// A flow of least cost.
#[derive(Debug, Clone)]
pub(crate) struct Flow {
    /// Each session's evening; the index after the last: it stays; [`NOBODY`]: not in the flow.
    pub(crate) at: Vec<usize>,
    /// Who has each evening, or [`NOBODY`].
    who: Vec<usize>,
    /// How many go through each limit of the tree.
    used: Vec<usize>,
    /// The price of each node; the sink's is 0.
    pub(crate) y: Vec<Units>,
    /// What each session costs in all.
    pub(crate) u: Vec<Units>,
}

/// How a node was reached, or backwards: how it goes on.
#[derive(Debug, Clone, Copy)]
enum Via {
    Nothing,
    /// This session moves here, or backwards: from here.
    Session(usize),
    /// One more goes up from this node, or backwards: up to it.
    Up(usize),
    /// One fewer comes up to this node, or backwards: up from it.
    Down(usize),
}

/// What a search needs and nobody keeps.
#[derive(Debug)]
pub(crate) struct Scratch {
    distance: Vec<Units>,
    is_done: Vec<bool>,
    via: Vec<Via>,
    session_distance: Vec<Units>,
    /// Where each session would go, in a search backwards.
    goes_to: Vec<usize>,
    moved: Vec<(usize, usize)>,
}

impl Scratch {
    pub(crate) fn new(model: &Model) -> Self {
        let nodes = model.sink() + 1;
        Scratch {
            distance: vec![NEVER; nodes],
            is_done: vec![false; nodes],
            via: vec![Via::Nothing; nodes],
            session_distance: vec![NEVER; model.sessions],
            goes_to: vec![NOBODY; model.sessions],
            moved: Vec::new(),
        }
    }

    fn reset(&mut self) {
        self.distance.fill(NEVER);
        self.is_done.fill(false);
        self.via.fill(Via::Nothing);
        self.session_distance.fill(NEVER);
        self.moved.clear();
    }

    fn relax(&mut self, node: usize, distance: Units, via: Via) {
        if distance < self.distance[node] {
            self.distance[node] = distance;
            self.via[node] = via;
        }
    }

    /// The nearest node that is not done; of several, the first.
    fn nearest(&self) -> Option<usize> {
        let mut nearest = None;
        let mut least = NEVER;
        for (node, (&distance, &is_done)) in self.distance.iter().zip(&self.is_done).enumerate() {
            if distance < least && !is_done {
                (nearest, least) = (Some(node), distance);
            }
        }
        nearest
    }
}

impl Flow {
    /// The flow of nobody.
    pub(crate) fn empty(model: &Model) -> Self {
        Flow {
            at: vec![NOBODY; model.sessions],
            who: vec![NOBODY; model.evenings],
            used: vec![0; model.tree.len()],
            y: vec![0; model.sink() + 1],
            u: vec![0; model.sessions],
        }
    }

    /// Takes a session in.
    pub(crate) fn add(&mut self, model: &Model, costs: &Costs, scratch: &mut Scratch, s: usize) {
        let row = costs.row(s, model.evenings).iter().zip(&self.y);
        let least = row.filter(|(c, _)| **c != NEVER).map(|(c, y)| c + y).min();
        self.u[s] = least.map_or(costs.stays[s], |least| least.min(costs.stays[s]));
        scratch.reset();
        self.relax_session(model, costs, scratch, s, 0);
        let length = self.search(model, costs, scratch);
        for (y, &distance) in self.y.iter_mut().zip(&scratch.distance) {
            *y += length - distance.min(length);
        }
        for (u, &distance) in self.u.iter_mut().zip(&scratch.session_distance) {
            *u += length - distance.min(length);
        }
        self.push(model, scratch);
    }

    /// Lets a session go: whoever gains most moves up, by the shortest path from the sink to the
    /// evening that it leaves, looked for from its end.
    pub(crate) fn remove(&mut self, model: &Model, costs: &Costs, scratch: &mut Scratch, s: usize) {
        let e = std::mem::replace(&mut self.at[s], NOBODY);
        if e >= model.evenings {
            return;
        }
        scratch.reset();
        scratch.distance[e] = 0;
        let length = self.search_back(model, costs, scratch);
        for (y, &distance) in self.y.iter_mut().zip(&scratch.distance) {
            *y -= length - distance.min(length);
        }
        for (u, &distance) in self.u.iter_mut().zip(&scratch.session_distance) {
            *u -= length - distance.min(length);
        }
        self.who[e] = NOBODY;
        self.push_back(model, scratch, e);
    }

    /// Dijkstra's search from an evening backwards to the sink; returns the distance of the sink.
    fn search_back(&self, model: &Model, costs: &Costs, scratch: &mut Scratch) -> Units {
        let (m, sink) = (model.evenings, model.sink());
        loop {
            let node = scratch.nearest().expect("what came to an evening can go back");
            let distance = scratch.distance[node];
            if distance == scratch.distance[sink] {
                return distance;
            }
            scratch.is_done[node] = true;
            if self.is_used(model, node) {
                let parent = model.parents[node];
                let distance = distance + self.y[node] - self.y[parent];
                scratch.relax(parent, distance, Via::Down(node));
            }
            if node < m {
                self.relax_takers(model, costs, scratch, node, distance);
            } else {
                for &child in &model.tree[node - m].children {
                    if self.has_room(model, child) {
                        let distance = distance + self.y[node] - self.y[child];
                        scratch.relax(child, distance, Via::Up(node));
                    }
                }
            }
        }
    }

    /// Whoever could come to an evening from where they are.
    fn relax_takers(
        &self,
        model: &Model,
        costs: &Costs,
        scratch: &mut Scratch,
        e: usize,
        distance: Units,
    ) {
        let (m, sink) = (model.evenings, model.sink());
        let base = distance + self.y[e];
        for (t, &held) in self.at.iter().enumerate() {
            let cost = costs.pairs[t * m + e];
            if cost == NEVER || held == NOBODY || held == e {
                continue;
            }
            let distance = base + cost - self.u[t];
            if distance < scratch.session_distance[t] {
                scratch.session_distance[t] = distance;
                scratch.goes_to[t] = e;
                scratch.relax(if held == m { sink } else { held }, distance, Via::Session(t));
            }
        }
    }

    /// Dijkstra's search from a session to the sink; returns the distance of the sink.
    fn search(&self, model: &Model, costs: &Costs, scratch: &mut Scratch) -> Units {
        let (m, sink) = (model.evenings, model.sink());
        loop {
            let node = scratch.nearest().expect("any session may stay at some cost");
            let distance = scratch.distance[node];
            if distance == scratch.distance[sink] {
                return distance;
            }
            scratch.is_done[node] = true;
            if self.has_room(model, node) {
                let parent = model.parents[node];
                let distance = distance + self.y[parent] - self.y[node];
                scratch.relax(parent, distance, Via::Up(node));
            }
            if node >= m {
                for &child in &model.tree[node - m].children {
                    if self.is_used(model, child) {
                        let distance = distance + self.y[child] - self.y[node];
                        scratch.relax(child, distance, Via::Down(node));
                    }
                }
            } else if self.who[node] != NOBODY {
                self.relax_session(model, costs, scratch, self.who[node], distance);
            }
        }
    }

    fn relax_session(
        &self,
        model: &Model,
        costs: &Costs,
        scratch: &mut Scratch,
        s: usize,
        distance: Units,
    ) {
        scratch.session_distance[s] = distance;
        let base = distance - self.u[s];
        let row = costs.row(s, model.evenings);
        for (e, (&cost, &y)) in row.iter().zip(&self.y).enumerate() {
            if cost != NEVER {
                scratch.relax(e, base + cost + y, Via::Session(s));
            }
        }
        scratch.relax(model.sink(), base + costs.stays[s], Via::Session(s));
    }

    /// Whether more could go through a node.
    fn has_room(&self, model: &Model, node: usize) -> bool {
        match node.checked_sub(model.evenings) {
            None => self.who[node] == NOBODY,
            Some(limit) => self.used[limit] < model.tree[limit].at_most,
        }
    }

    /// Whether anything goes through a node.
    fn is_used(&self, model: &Model, node: usize) -> bool {
        match node.checked_sub(model.evenings) {
            None => self.who[node] != NOBODY,
            Some(limit) => self.used[limit] > 0,
        }
    }

    /// Sends one unit along the path to the sink, from its end.
    fn push(&mut self, model: &Model, scratch: &mut Scratch) {
        let (m, sink) = (model.evenings, model.sink());
        let mut node = sink;
        loop {
            match scratch.via[node] {
                Via::Session(s) => {
                    let old = self.at[s];
                    scratch.moved.push((s, if node == sink { m } else { node }));
                    if old == NOBODY {
                        break;
                    }
                    node = if old == m { sink } else { old };
                }
                Via::Up(below) => {
                    self.count(m, below, true);
                    node = below;
                }
                Via::Down(above) => {
                    self.count(m, node, false);
                    node = above;
                }
                Via::Nothing => break,
            }
        }
        self.move_all(m, scratch);
    }

    /// Sends one unit along the path from the sink to an evening, from its beginning.
    fn push_back(&mut self, model: &Model, scratch: &mut Scratch, goal: usize) {
        let m = model.evenings;
        let mut node = model.sink();
        while node != goal {
            match scratch.via[node] {
                Via::Session(s) => {
                    scratch.moved.push((s, scratch.goes_to[s]));
                    node = scratch.goes_to[s];
                }
                Via::Up(above) => {
                    self.count(m, node, true);
                    node = above;
                }
                Via::Down(below) => {
                    self.count(m, below, false);
                    node = below;
                }
                Via::Nothing => break,
            }
        }
        self.move_all(m, scratch);
    }

    /// One more goes through a node, or one fewer. Who has an evening says so already.
    fn count(&mut self, evenings: usize, node: usize, is_more: bool) {
        if let Some(limit) = node.checked_sub(evenings) {
            let used = &mut self.used[limit];
            *used = if is_more { *used + 1 } else { *used - 1 };
        }
    }

    fn move_all(&mut self, evenings: usize, scratch: &Scratch) {
        for (s, _) in &scratch.moved {
            if self.at[*s] < evenings {
                self.who[self.at[*s]] = NOBODY;
            }
        }
        for &(s, new) in &scratch.moved {
            self.at[s] = new;
            if new < evenings {
                self.who[new] = s;
            }
        }
    }

    /// Raises the prices of nodes that nobody uses to that of their parent, which changes nothing
    /// else: then no node's price is below its parent's.
    pub(crate) fn level(&mut self, model: &Model) {
        for node in (0..model.sink()).rev() {
            // Parents stand after their children, so that going down meets them first.
            let parent = self.y[model.parents[node]];
            self.y[node] = self.y[node].max(parent);
        }
    }
}
