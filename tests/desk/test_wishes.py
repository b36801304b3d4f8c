"""What a person typed as an option, read."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from ledger.desk.wishes import class_of, date_of, pages_of
from ledger.model.errors import Refusal


def test_pages() -> None:
    assert pages_of(None).everything
    assert "24" in pages_of("1-24,30") and "25" not in pages_of("1-24,30")
    with pytest.raises(Refusal, match="--pages"):
        pages_of("24-1")


def test_classes_of_alteration() -> None:
    """PE, AA, EA, DA: the Chicago Manual of Style, 16th ed., 2.131, as quoted by an editorial blog; AA if left out."""
    assert [class_of(sign) for sign in (None, "PE", "aa", "EA", "DA")] == ["AA", "PE", "AA", "EA", "DA"]
    with pytest.raises(Refusal, match="XX") as refused:
        class_of("XX")
    assert refused.value.remedy and "PE (printer's error)" in refused.value.remedy


def test_dates() -> None:
    assert date_of("2025-03-01") == date(2025, 3, 1)
    assert date_of("2025-03-01T10:00:00+01:00") == datetime.fromisoformat("2025-03-01T10:00:00+01:00")
    for wrong in ("1 March", "2025-02-30", ""):
        with pytest.raises(Refusal, match="--date"):
            date_of(wrong)
