"""What a knowledgeable person would write in an afternoon: fitparse, pandas, ``curve_fit``, one file at a time.

The same figures as an import keeps: clean share, mean and peak, minutes by intensity, TRIMP, and for each
recovery its drops after 30, 60 and 120 s, T30, and time constant with interval. The interval comes either
from the covariance of the fit, as most scripts have it, which takes neighbouring seconds for independent and
comes out far too narrow, or from refits to resampled blocks of residuals, which is what an interval that
holds would take here. Used by ``bench_import``.
"""

from pathlib import Path
from typing import Any

import fitparse
import numpy as np
import pandas as pd
from scipy.optimize import OptimizeWarning, curve_fit
from scipy.signal import find_peaks

MAX_BPM, REST_BPM = 181.0, 54.0
#: Shares of reserve between intensities (Garber 2011).
BOUNDS = (0.30, 0.40, 0.60, 0.90)


#: Refits and length of a block, s: as in ``bench_kinetics``.
N_REFITS, BLOCK_S = 200, 15


def import_file(path: Path, *, n_refits: int = 0) -> dict[str, Any]:
    """Read and analyse one file; without refits, intervals come from the covariance."""
    rows = [record.get_values() for record in fitparse.FitFile(str(path)).get_messages("record")]
    table = pd.DataFrame(rows).drop_duplicates("timestamp").set_index("timestamp").sort_index()
    table = table.resample("1s").mean().interpolate(limit=5, limit_area="inside")
    hr = table["heart_rate"].where(table["heart_rate"].between(30, 230))
    hr = hr.where((hr - hr.rolling(7, center=True).median()).abs() < 12)
    reserve = (hr - REST_BPM) / (MAX_BPM - REST_BPM)
    classes = np.digitize(reserve.dropna(), BOUNDS)
    return {
        "clean_share": float(hr.notna().mean()),
        "mean_bpm": float(hr.mean()),
        "peak_bpm": float(hr.rolling(5).mean().max()),
        "minutes": (np.bincount(classes, minlength=5) / 60).tolist(),
        "trimp": float((reserve * 0.64 * np.exp(1.92 * reserve)).sum() / 60),
        "recoveries": _recoveries(hr.interpolate(limit=15).to_numpy(), n_refits),
    }


def _recoveries(hr: np.ndarray, n_refits: int) -> list[dict[str, Any]]:
    smooth = pd.Series(hr).rolling(9, center=True, min_periods=1).mean().ffill().bfill().to_numpy()
    peaks, _ = find_peaks(smooth, prominence=15)
    found = []
    for peak in peaks.tolist():
        window = hr[peak : peak + 180]
        seconds = np.arange(window.size, dtype=float)
        known = np.isfinite(window)
        if window.size > 60 and known.sum() > 40:
            found.append(_figures(seconds[known], window[known], float(smooth[peak]), n_refits))
    return found


def _figures(seconds: np.ndarray, pulse: np.ndarray, peak_bpm: float, n_refits: int) -> dict[str, Any]:
    figures: dict[str, Any] = {"peak_bpm": peak_bpm}
    for after in (30, 60, 120):
        figures[f"hrr{after}_bpm"] = peak_bpm - float(np.interp(after, seconds, pulse))
    first = seconds <= 30
    slope = np.polyfit(seconds[first], np.log(pulse[first]), 1)[0]
    figures["t30_s"] = -1 / slope if slope < 0 else None

    def fall(t: np.ndarray, end: float, height: float, tau: float, delay: float) -> np.ndarray:
        return end + height * np.exp(-np.maximum(t - delay, 0.0) / tau)

    try:
        best, spread = curve_fit(
            fall, seconds, pulse, p0=(pulse.min(), np.ptp(pulse) + 1, 50.0, 5.0), maxfev=2000
        )
    except (RuntimeError, OptimizeWarning):
        return figures
    figures["tau_s"], figures["tau_se_s"] = float(best[2]), float(np.sqrt(spread[2, 2]))
    if n_refits:
        figures["tau_se_s"] = _refitted(fall, seconds, pulse, best, n_refits)
    return figures


def _refitted(fall: Any, seconds: np.ndarray, pulse: np.ndarray, best: np.ndarray, n_refits: int) -> float:
    rng = np.random.default_rng(1)
    curve = fall(seconds, *best)
    residuals, n = pulse - curve, pulse.size
    taus = []
    for _ in range(n_refits):
        starts = rng.integers(0, n - BLOCK_S, size=n // BLOCK_S + 1)
        blocks = np.concatenate([residuals[start : start + BLOCK_S] for start in starts])[:n]
        try:
            taus.append(curve_fit(fall, seconds, curve + blocks, p0=best, maxfev=2000)[0][2])
        except (RuntimeError, OptimizeWarning):
            continue
    return float(np.std(taus)) if taus else float("nan")
