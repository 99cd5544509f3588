//! The flow of least cost from sessions over evenings and nested limits to a sink, kept with prices
//! that prove it, one session at a time.
//!
//! A session enters by the shortest path to the sink; it leaves by the shortest path from the sink to
//! the evening that it gave up. Both are Dijkstra's search over what a step would cost beyond the
//! prices, which is never negative. The price `y(v)` of a node is what one more unit through it costs
//! from there on, and `u(s)` what session `s` costs in all:
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

/// How a node was reached.
#[derive(Debug, Clone, Copy)]
enum Via {
    Nothing,
    /// This session moves here.
    Session(usize),
    /// One more goes through this node below.
    Up(usize),
    /// One fewer comes through this node above.
    Down(usize),
}

/// What a search needs and nobody keeps.
#[derive(Debug)]
pub(crate) struct Scratch {
    distance: Vec<Units>,
    is_done: Vec<bool>,
    via: Vec<Via>,
    session_distance: Vec<Units>,
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
        let sink = model.sink();
        let length = self.search(model, costs, scratch, sink);
        for (node, y) in self.y.iter_mut().enumerate() {
            if scratch.is_done[node] {
                *y += length - scratch.distance[node];
            }
        }
        for (u, &distance) in self.u.iter_mut().zip(&scratch.session_distance) {
            *u += length - distance.min(length);
        }
        self.push(model, scratch, sink);
    }

    /// Lets a session go.
    pub(crate) fn remove(&mut self, model: &Model, costs: &Costs, scratch: &mut Scratch, s: usize) {
        let e = std::mem::replace(&mut self.at[s], NOBODY);
        if e >= model.evenings {
            return;
        }
        scratch.reset();
        // The way down the tree that the session leaves open is one path, and often the shortest.
        let mut node = e;
        while node != model.sink() {
            scratch.relax(node, self.y[node], Via::Down(model.parents[node]));
            node = model.parents[node];
        }
        scratch.distance[node] = 0;
        let length = self.search(model, costs, scratch, e);
        for (node, y) in self.y.iter_mut().enumerate() {
            let distance = if scratch.is_done[node] { scratch.distance[node] } else { length };
            *y -= distance;
        }
        for (t, u) in self.u.iter_mut().enumerate() {
            if self.at[t] != NOBODY {
                *u -= scratch.session_distance[t].min(length);
            }
        }
        self.who[e] = NOBODY;
        self.push(model, scratch, e);
    }

    /// Dijkstra's search; returns the distance of the goal, which is always reached: any session
    /// may stay at some cost, and what came to an evening can go back.
    fn search(&self, model: &Model, costs: &Costs, scratch: &mut Scratch, goal: usize) -> Units {
        let (m, sink) = (model.evenings, model.sink());
        loop {
            let node = scratch.nearest().expect("every goal can be reached");
            let distance = scratch.distance[node];
            if distance == scratch.distance[goal] {
                return distance;
            }
            scratch.is_done[node] = true;
            if node == sink {
                self.relax_below(model, scratch, node, distance, &model.tops);
                for t in 0..model.sessions {
                    if self.at[t] == m {
                        self.relax_session(model, costs, scratch, t, distance);
                    }
                }
            } else if node < m {
                match self.who[node] {
                    NOBODY => self.relax_above(model, scratch, node, distance),
                    t => self.relax_session(model, costs, scratch, t, distance),
                }
            } else {
                let limit = &model.tree[node - m];
                if self.used[node - m] < limit.at_most {
                    self.relax_above(model, scratch, node, distance);
                }
                self.relax_below(model, scratch, node, distance, &limit.children);
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
            if cost != NEVER && !scratch.is_done[e] {
                scratch.relax(e, base + cost + y, Via::Session(s));
            }
        }
        let sink = model.sink();
        if !scratch.is_done[sink] {
            scratch.relax(sink, base + costs.stays[s], Via::Session(s));
        }
    }

    fn relax_above(&self, model: &Model, scratch: &mut Scratch, node: usize, distance: Units) {
        let parent = model.parents[node];
        if !scratch.is_done[parent] {
            scratch.relax(parent, distance + self.y[parent] - self.y[node], Via::Up(node));
        }
    }

    fn relax_below(
        &self,
        model: &Model,
        scratch: &mut Scratch,
        node: usize,
        distance: Units,
        children: &[usize],
    ) {
        for &child in children {
            if !scratch.is_done[child] && self.is_used(model, child) {
                let distance = distance + self.y[child] - self.y[node];
                scratch.relax(child, distance, Via::Down(node));
            }
        }
    }

    /// Whether anything goes through a node.
    fn is_used(&self, model: &Model, node: usize) -> bool {
        match node.checked_sub(model.evenings) {
            None => self.who[node] != NOBODY,
            Some(limit) => self.used[limit] > 0,
        }
    }

    /// Sends one unit along the path that was found.
    fn push(&mut self, model: &Model, scratch: &mut Scratch, goal: usize) {
        let (m, sink) = (model.evenings, model.sink());
        let mut node = goal;
        loop {
            match scratch.via[node] {
                Via::Nothing => break,
                Via::Session(s) => {
                    let (old, new) = (self.at[s], if node == sink { m } else { node });
                    scratch.moved.push((s, new));
                    if old == NOBODY {
                        break;
                    }
                    if old < m {
                        self.who[old] = NOBODY;
                    }
                    node = if old == m { sink } else { old };
                }
                Via::Up(below) => {
                    if below >= m {
                        self.used[below - m] += 1;
                    }
                    node = below;
                }
                Via::Down(above) => {
                    if node >= m {
                        self.used[node - m] -= 1;
                    }
                    node = above;
                }
            }
        }
        for &(s, new) in &scratch.moved {
            self.at[s] = new;
            if new < m {
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
