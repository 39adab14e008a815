"""Statistical Reference Datasets of NIST, nonlinear regression: Misra1a and BoxBOD.

Both are ``y = b1·(1 - exp(-b2·x))``: a fall turned upside down. Source: National Institute of Standards and
Technology, Statistical Reference Datasets, https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml; data
and certified values were compared with the copies in the test suites of other libraries (GNU Scientific
Library, R package nlsr). They are certified to 11 digits. Found here: 8 to 9 digits, and standard errors
to 7, the precision of differences taken for the slopes; the tolerances are that precision.
"""

from typing import NamedTuple

import lmfit
import numpy as np
import numpy.typing as npt
import pytest

from rideready.recovery.least_squares import LeastSquaresFit, fit_least_squares

Floats = npt.NDArray[np.float64]


class Dataset(NamedTuple):
    x: Floats
    y: Floats
    starts: tuple[tuple[float, float], tuple[float, float]]
    b1: float
    b1_se: float
    b2: float
    b2_se: float
    sum_of_squares: float


MISRA1A = Dataset(
    x=np.array(
        [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0]
    ),
    y=np.array(
        [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78]
    ),
    starts=((500.0, 1e-4), (250.0, 5e-4)),
    b1=2.3894212918e02,
    b1_se=2.7070075241e00,
    b2=5.5015643181e-04,
    b2_se=7.2668688436e-06,
    sum_of_squares=1.2455138894e-01,
)
BOXBOD = Dataset(
    x=np.array([1.0, 2.0, 3.0, 5.0, 7.0, 10.0]),
    y=np.array([109.0, 149.0, 149.0, 191.0, 213.0, 224.0]),
    starts=((1.0, 1.0), (100.0, 0.75)),
    b1=2.1380940889e02,
    b1_se=1.2354515176e01,
    b2=5.4723748542e-01,
    b2_se=1.0455993237e-01,
    sum_of_squares=1.1680088766e03,
)
CASES = [
    pytest.param(data, start[1], id=f"{name} from start {i}")
    for name, data in (("Misra1a", MISRA1A), ("BoxBOD", BOXBOD))
    for i, start in enumerate(data.starts, 1)
]


def fit(data: Dataset, start: float) -> LeastSquaresFit:
    return fit_least_squares(lambda b: -np.expm1(-b[0] * data.x)[:, None], data.y, start=[start])


def digits(found: float, certified: float) -> str:
    agreeing = -np.log10(max(abs(found / certified - 1.0), 1e-16))
    return f"found {found!r}, certified {certified!r}: {agreeing:.1f} digits agree"


@pytest.mark.parametrize(("data", "start"), CASES)
def test_parameters_are_the_certified_ones(data: Dataset, start: float) -> None:
    found = fit(data, start)

    assert found.levels[0] == pytest.approx(data.b1, rel=3e-8), digits(found.levels[0], data.b1)
    assert found.shape[0] == pytest.approx(data.b2, rel=3e-8), digits(found.shape[0], data.b2)


@pytest.mark.parametrize(("data", "start"), CASES)
def test_standard_errors_are_the_certified_ones(data: Dataset, start: float) -> None:
    found = fit(data, start)

    assert found.levels_se[0] == pytest.approx(data.b1_se, rel=1e-6), digits(found.levels_se[0], data.b1_se)
    assert found.shape_se[0] == pytest.approx(data.b2_se, rel=1e-6), digits(found.shape_se[0], data.b2_se)


@pytest.mark.parametrize(("data", "start"), CASES)
def test_the_sum_of_squares_is_the_certified_one(data: Dataset, start: float) -> None:
    found = fit(data, start)

    assert found.sum_of_squares == pytest.approx(data.sum_of_squares, rel=1e-10)


@pytest.mark.parametrize("data", [MISRA1A, BOXBOD], ids=["Misra1a", "BoxBOD"])
def test_lmfit_agrees_in_values_and_standard_errors(data: Dataset) -> None:
    def rise(x: Floats, b1: float, b2: float) -> Floats:
        return b1 * (1.0 - np.exp(-b2 * x))

    reference = lmfit.Model(rise).fit(data.y, x=data.x, b1=data.starts[1][0], b2=data.starts[1][1])
    found = fit(data, data.starts[1][1])

    # lmfit stops at a relative change of 1.5e-8 and takes one-sided slopes.
    assert found.levels[0] == pytest.approx(reference.params["b1"].value, rel=1e-5)
    assert found.shape[0] == pytest.approx(reference.params["b2"].value, rel=1e-5)
    assert found.levels_se[0] == pytest.approx(reference.params["b1"].stderr, rel=1e-3)
    assert found.shape_se[0] == pytest.approx(reference.params["b2"].stderr, rel=1e-3)


def test_too_few_values_for_the_parameters_are_refused() -> None:
    with pytest.raises(ValueError, match="2 parameters need more than 2 values"):
        fit_least_squares(lambda b: np.exp(-b[0] * np.arange(2.0))[:, None], [3.0, 2.0], start=[0.5])
