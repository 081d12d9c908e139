//! Every published source we lean on, once.
//!
//! A formula or a number names its source by linking to a constant here, so rustdoc refuses a citation that does
//! not exist, a house rule refuses one that nobody uses, and a report can print the list.

/// A published source, down to the clause, page or table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Title, edition and year.
    pub title: &'static str,
    /// Clause, table, equation or page.
    pub place: &'static str,
    /// How we know what it says.
    pub seen: Seen,
}

/// How we know what a source says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Someone on this project had the page in front of them.
    Read,
    /// Quoted by another publication that we did read.
    QuotedBy(&'static str),
    /// From memory; printed with that word beside it until somebody reads the standard.
    Recalled,
}

/// A number together with where it was published.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The number, with its unit in its type or its name.
    pub value: T,
    /// Where it was published.
    pub source: Source,
}

/// Throat of a fillet weld, and when penetration may be counted.
pub const EN_1993_1_8_THROAT: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.2(1) largest inscribed triangle; 4.5.2(3) deep penetration, Figure 4.4",
    seen: Seen::Recalled,
};

/// Two-sided partial-penetration tee butt treated as full penetration.
pub const EN_1993_1_8_TEE_BUTT: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.7.3(1): sum of throats >= t and unwelded gap <= min(t/5, 3 mm)",
    seen: Seen::Recalled,
};

/// Credit for penetration beyond the root, United States.
pub const AISC_360_EFFECTIVE_THROAT: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.2a: larger effective throat where consistent penetration beyond the root is shown by tests",
    seen: Seen::QuotedBy("a public lecture on AISC weld design that repeats the clause"),
};

/// The trade's definitions of leg, size, actual and effective throat.
pub const AWS_A3_0_TERMS: Source = Source {
    title: "AWS A3.0, Standard Welding Terms and Definitions",
    place: "actual throat, effective throat, theoretical throat, fillet weld size, dilution, overlap, undercut",
    seen: Seen::Recalled,
};

/// Names and numbers of weld imperfections.
pub const ISO_6520_1: Source = Source {
    title: "ISO 6520-1:2007, Classification of geometric imperfections in metallic materials",
    place: "503 excessive convexity, 506 overlap, 512 asymmetry, 5011/5012 undercut, 507 linear misalignment",
    seen: Seen::Recalled,
};

/// Guide to the expression of uncertainty: what a standard uncertainty is.
pub const JCGM_100: Source = Source {
    title: "JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    place: "2.3.1, 4.3.7 (rectangular), 5.1 (propagation)",
    seen: Seen::Recalled,
};

/// Propagation of distributions by Monte Carlo.
pub const JCGM_101: Source = Source {
    title: "JCGM 101:2008, Propagation of distributions using a Monte Carlo method",
    place: "7 (procedure), 5.3.4 and 7.7 (shortest coverage interval)",
    seen: Seen::Recalled,
};

/// The exact one-sided normal tolerance factor by the non-central t.
pub const ISO_16269_6: Source = Source {
    title: "ISO 16269-6:2014, Statistical interpretation of data: determination of statistical tolerance intervals",
    place: "formula A.13; Annex C tables",
    seen: Seen::QuotedBy("rdrr.io, leistungstests, page kc, which gives the formula"),
};

/// Tolerance limits for one-way random models by generalised confidence intervals.
pub const KRISHNAMOORTHY_MATHEW_2004: Source = Source {
    title: "Krishnamoorthy and Mathew, One-sided tolerance limits in balanced and unbalanced one-way random models based on generalized confidence intervals, Technometrics 46 (2004) 44",
    place: "generalised pivotal quantity, balanced and unbalanced",
    seen: Seen::Recalled,
};

/// Unweighted means and the harmonic mean of the sample sizes, for unbalanced one-way data.
pub const THOMAS_HULTQUIST_1978: Source = Source {
    title: "Thomas and Hultquist, Interval estimation for the unbalanced case of the one-way random effects model, Annals of Statistics 6 (1978) 582",
    place: "sum of squares of the unweighted group means",
    seen: Seen::Recalled,
};

/// Non-parametric tolerance limits from order statistics.
pub const WILKS_1941: Source = Source {
    title: "Wilks, Determination of sample sizes for setting tolerance limits, Annals of Mathematical Statistics 12 (1941) 91",
    place: "one-sided limit by an order statistic",
    seen: Seen::Recalled,
};

/// Anderson-Darling statistic with mean and spread estimated: modified form and critical values.
pub const STEPHENS_1974: Source = Source {
    title: "Stephens, EDF statistics for goodness of fit and some comparisons, Journal of the American Statistical Association 69 (1974) 730; D'Agostino and Stephens, Goodness-of-fit techniques, 1986",
    place: "Table 4.7, case 3: A*(1 + 0.75/n + 2.25/n^2), 0.752 at 5 %",
    seen: Seen::Recalled,
};

/// Certified analysis of variance, silicon resistivity.
pub const NIST_STRD_SIRSTV: Source = Source {
    title: "NIST Statistical Reference Datasets, analysis of variance, SiRstv",
    place: "25 values in 5 groups, certified sums of squares and F",
    seen: Seen::QuotedBy("stata.com/support/cert/nist9/anova/sires.do"),
};

/// Factors between the shop's units and SI: inch, pound-force, kip, cubic foot, degree Fahrenheit.
pub const NIST_SP_811: Source = Source {
    title: "NIST SP 811, Guide for the Use of the International System of Units (2008)",
    place: "Appendix B, factors for units; 1 in = 25.4 mm exactly, 1 lbf = 4.448222 N",
    seen: Seen::Recalled,
};
