"""How often one address may ask: a bucket of tokens for each, which fills again with time. No clock of its own."""

from __future__ import annotations

from collections import OrderedDict

MOST_ADDRESSES = 1024


class Limit:
    """`burst` requests at once, then `per_s` a second."""

    def __init__(self, per_s: float, burst: int) -> None:
        self._per_s, self._burst = per_s, float(burst)
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait_s(self, address: str, now_s: float) -> float:
        """0 where the address may ask now, and has then asked; else after how many seconds it may."""
        tokens, since_s = self._left.pop(address, (self._burst, now_s))
        tokens = min(self._burst, tokens + (now_s - since_s) * self._per_s)
        allowed = tokens >= 1
        self._left[address] = (tokens - 1 if allowed else tokens, now_s)
        while len(self._left) > MOST_ADDRESSES:
            # The one that asked least lately; whoever floods from many addresses only forgets his own.
            self._left.popitem(last=False)
        return 0.0 if allowed else (1 - tokens) / self._per_s
