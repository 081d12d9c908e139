//! Long lists, a page at a time: which page of which coupon, in which order, and the way to the others.
//!
//! ```text
//!   /read?of=12&order=newest&page=3 ── Leaf ──> Part: the study looks up that page alone
//!                                          └──> links to the other pages, which keep coupon and order
//! ```
//!
//! What a page shows is looked up in the study file, and so is how many there are: a list of ten thousand is never made to
//! show a hundred of it.

use crate::form::{Posted, one};
use maud::{Markup, html};
use workflow::refusal::Refusal;
use workflow::study::{Kind, Listed, Part, RecordId, Study};

/// The word in an address for the latest first.
const NEWEST: &str = "newest";

/// A page of a long list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Leaf {
    /// From 1.
    page: usize,
    /// What a page holds.
    per: usize,
    /// Only what belongs to this record.
    of: Option<RecordId>,
    newest_first: bool,
}

impl Leaf {
    /// The page that an address asks for.
    pub(crate) fn asked(asked: &Posted, per: usize) -> Self {
        Self {
            page: one(asked, "page").parse().unwrap_or(1),
            per,
            of: one(asked, "of").parse().ok().map(RecordId),
            newest_first: one(asked, "order") == NEWEST,
        }
    }

    /// The same within so many: a page beyond the last is the last.
    pub(crate) fn within(self, total: usize) -> Self {
        Self { page: self.page.clamp(1, self.pages(total)), ..self }
    }

    fn pages(&self, total: usize) -> usize {
        total.div_ceil(self.per).max(1)
    }

    /// So many stand on the pages before.
    pub(crate) fn skip(&self) -> usize {
        (self.page.max(1) - 1).saturating_mul(self.per)
    }

    /// What the page holds at most.
    pub(crate) fn most(&self) -> usize {
        self.per
    }

    /// How many records there are in all, and those of this page.
    pub(crate) fn look_up(
        &mut self,
        study: &Study,
        kind: Kind,
    ) -> Result<(usize, Vec<Listed>), Refusal> {
        let total = study.count(kind, self.of)?;
        *self = self.within(total);
        let Self { of: under, newest_first, .. } = *self;
        let part = Part { kind, under, newest_first, skip: self.skip(), most: self.most() };
        Ok((total, study.part(&part)?))
    }

    /// Links to the other pages, where there are any. `to` is the address that they share, up to its `?` or `&`; `at` the
    /// place on the page where the list stands, `#list`, or nothing.
    pub(crate) fn links(&self, total: usize, to: &str, at: &str) -> Markup {
        let pages = self.pages(total);
        let more = self.of.map_or_else(String::new, |of| format!("of={of}&"))
            + if self.newest_first { "order=newest&" } else { "" };
        html! {
            @if pages > 1 {
                nav.turn aria-label="pages of the list" {
                    "Page "
                    @for n in leaves(self.page, pages) {
                        @if gap(n, self.page, pages) { "… " }
                        @if n == self.page { b aria-current="page" { (n) } " " }
                        @else { a href={ (to) (more) "page=" (n) (at) } { (n) } " " }
                    }
                }
            }
        }
    }

    /// The choice of a coupon and of an order, for a list that does not fit a page. `hidden` is what the address says
    /// besides.
    pub(crate) fn choice(
        &self,
        total: usize,
        coupons: &[Listed],
        to: &str,
        hidden: &[(&str, &str)],
    ) -> Markup {
        let of = self.of.filter(|_| coupons.len() > 1);
        html! {
            @if total > self.per || of.is_some() {
                form.inline.turn method="get" action=(to) {
                    @for (name, value) in hidden { input type="hidden" name=(name) value=(value); }
                    @if coupons.len() > 1 {
                        select name="of" aria-label="coupon" {
                            option value="" { "all coupons" }
                            @for c in coupons { option value=(c.record) selected[Some(c.record) == of] { "coupon " (c.name) } }
                        }
                    }
                    select name="order" aria-label="order" {
                        option value="" { "oldest first" }
                        option value=(NEWEST) selected[self.newest_first] { "newest first" }
                    }
                    button { "Show" }
                }
            }
        }
    }
}

/// The pages that can be turned to: the first, the last, and those about this one.
pub(crate) fn leaves(page: usize, pages: usize) -> Vec<usize> {
    (1..=pages).filter(|&n| n == 1 || n == pages || n.abs_diff(page) <= 2).collect()
}

/// Whether pages are left out before this one of [`leaves`].
pub(crate) fn gap(n: usize, page: usize, pages: usize) -> bool {
    n > 2 && n + 2 == page || n == pages && page + 3 < pages
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaf(address: &[(&str, &str)]) -> Leaf {
        let asked: Posted =
            address.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect();
        Leaf::asked(&asked, 10)
    }

    /// 25 in tens: three pages, and nothing beyond them.
    #[test]
    fn a_page_beyond_the_last_is_the_last() {
        for (page, skip) in [("", 0), ("0", 0), ("1", 0), ("3", 20), ("4", 20), ("x", 0)] {
            assert_eq!(leaf(&[("page", page)]).within(25).skip(), skip, "page '{page}'");
        }
        assert_eq!(leaf(&[("page", "18446744073709551615")]).within(25).skip(), 20);
        assert_eq!(leaf(&[("page", "7")]).within(0).skip(), 0);
    }

    #[test]
    fn links_keep_coupon_and_order() {
        let leaf = leaf(&[("of", "12"), ("order", "newest"), ("page", "2")]);
        let links = leaf.links(25, "/read?", "").into_string();
        assert!(links.contains("href=\"/read?of=12&amp;order=newest&amp;page=3\""), "{links}");
        assert!(links.contains("<b aria-current=\"page\">2</b>"), "{links}");
        assert_eq!(leaf.links(10, "/read?", "").into_string(), "");
    }

    /// Of twenty pages: the ends, those about this one, and a mark where some are left out.
    #[test]
    fn pages_in_between_are_left_out() {
        assert_eq!(leaves(10, 20), [1, 8, 9, 10, 11, 12, 20]);
        let gaps = |page| leaves(page, 20).into_iter().filter(|n| gap(*n, page, 20)).collect();
        let gaps: [Vec<usize>; 4] = [10, 1, 4, 17].map(gaps);
        assert_eq!(gaps, [vec![8, 20], vec![20], vec![20], vec![15]]);
    }
}
