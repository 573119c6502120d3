"""Samples: sizes from the standard and from scipy, and a draw that a shell repeats."""

from __future__ import annotations

import re
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom

from commission.audit.iso2859 import SIZES, single_normal
from commission.audit.sampling import draw, plan, seed_of, zero_failure_size
from commission.errors import RefusedError
from commission.job.entry import Digest

DIGEST = Digest("ab" * 32)


@pytest.mark.parametrize(
    ("population", "five", "ten"),
    [(20, 19, 16), (40, 31, 21), (60, 38, 23), (100, 45, 25), (200, 51, 27), (500, 56, 28)],
)
def test_zero_failure_sizes_are_those_of_the_published_table(
    population: int, five: int, ten: int
) -> None:
    # 95 % confidence that fewer than 5 % / 10 % are bad, hypergeometric; computed beside with scipy
    assert zero_failure_size(population, Fraction(95, 100), Fraction(5, 100)) == five
    assert zero_failure_size(population, Fraction(95, 100), Fraction(10, 100)) == ten


@given(
    st.integers(1, 3000),
    st.sampled_from([Fraction(80, 100), Fraction(9, 10), Fraction(95, 100), Fraction(99, 100)]),
    st.sampled_from([Fraction(1, 100), Fraction(5, 100), Fraction(1, 10), Fraction(1, 4)]),
)
def test_the_zero_failure_size_is_the_smallest_by_scipy(
    population: int, confidence: Fraction, share: Fraction
) -> None:
    size = zero_failure_size(population, confidence, share)
    bad = max(1, -(-share * population // 1))
    risk, slack = float(1 - confidence), 1e-9
    assert hypergeom.pmf(0, population, int(bad), size) <= risk + slack
    assert hypergeom.pmf(0, population, int(bad), size - 1) > risk - slack


@pytest.mark.parametrize(
    ("lots", "size", "accept"),
    [
        ((26, 50), 5, 0),
        ((51, 90), 20, 1),
        ((91, 150), 20, 1),
        ((151, 280), 32, 2),
        ((281, 500), 50, 3),
        ((501, 1200), 80, 5),
    ],
)
def test_single_plans_for_aql_2_5_are_those_of_iso_2859_1(
    lots: tuple[int, int], size: int, accept: int
) -> None:
    # ISO 2859-1:1999, tables 1 and 2-A, level II, AQL 2.5; arrows taken with the sample size
    for lot in lots:
        found = single_normal(lot, "2.5")
        assert (found.size, found.accept) == (size, accept)


@pytest.mark.parametrize("aql", ["0.65", "1.0", "1.5", "2.5", "4.0", "6.5"])
def test_a_lot_at_the_quality_limit_is_mostly_accepted(aql: str) -> None:
    # The standard's plans accept a process at its AQL with about 88 % to 99 %: ISO 2859-1, 12.1
    # and tables 5 (producer's risk); a wrong letter or arrow falls far outside.
    for lot in (2, 20, 60, 120, 200, 400, 1000, 3000, 9000, 30_000):
        found = single_normal(lot, aql)
        accepted = binom.cdf(found.accept, found.size, float(aql) / 100)
        assert 0.86 < accepted < 0.999


def test_plans_grow_with_the_lot() -> None:
    for aql in ("0.65", "1.0", "1.5", "2.5", "4.0", "6.5"):
        sizes = [single_normal(lot, aql).size for lot in range(2, 3000, 7)]
        assert sizes == sorted(sizes)
        assert set(sizes) <= set(SIZES.values())


@pytest.mark.parametrize("text", ["", "all", "zero=95", "zero=0/5", "zero=95/0", "zero=x/y",
                                  "aql=2.6", "count=0", "count=many", "zero=95/5/1"])  # fmt: skip
def test_a_sample_that_is_no_plan_is_refused_with_how_it_is_written(text: str) -> None:
    with pytest.raises(RefusedError) as refused:
        plan(text, 100)
    assert refused.value.hint


def test_a_sample_is_never_larger_than_its_population() -> None:
    assert plan("count=20", 7).size == 7
    assert plan("aql=2.5", 3).size == 3
    assert plan("zero=95/5", 7).size == 7


@given(st.sets(st.from_regex(r"[0-9]{8}-[A-Z]{4}", fullmatch=True), min_size=1, max_size=60),
       st.integers(1, 80))  # fmt: skip
def test_a_draw_takes_as_many_as_planned_and_the_same_again(jobs: set[str], size: int) -> None:
    chosen = plan(f"count={size}", len(jobs))
    drawn = draw(jobs, DIGEST, chosen)
    assert drawn == draw(sorted(jobs, reverse=True), DIGEST, chosen)
    assert set(drawn) <= jobs
    assert len(drawn) == min(size, len(jobs))


def test_each_job_is_drawn_about_equally_often() -> None:
    jobs = [f"20300101-BC{a}{b}" for a in "BCDF" for b in "GHJK"]
    counts = dict.fromkeys(jobs, 0)
    for number in range(2000):
        for job in draw(jobs, Digest(f"{number:064x}"), plan("count=4", len(jobs))):
            counts[job] += 1
    # 2000 draws of 4 in 16: 500 each, standard deviation 19.4; six of them
    assert all(abs(count - 500) < 117 for count in counts.values())


def test_the_readme_s_lines_draw_the_same_jobs(tmp_path: Path) -> None:
    jobs = [f"20300101-BCD{letter}" for letter in "BCDFGHJKLM"]
    (tmp_path / "jobs").write_text("".join(f"{job}\n" for job in jobs))
    chosen = plan("zero=80/25", len(jobs))
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    found = re.search(r"<!-- draw -->\n```sh\n(.*?)```", readme, re.DOTALL)
    assert found is not None
    done = subprocess.run(
        ["sh", "-c", found.group(1)], cwd=tmp_path, capture_output=True, text=True, check=True,
        env={"digest": DIGEST, "plan": chosen.text, "size": str(chosen.size),
             "PATH": "/usr/bin:/bin"},
    )  # fmt: skip
    assert tuple(sorted(done.stdout.split())) == draw(jobs, DIGEST, chosen)
    assert len(seed_of(DIGEST, chosen)) == 64
