"""How long somebody waits between tries: five are free, then ever longer."""

FREE_TRIES = 5
_FIRST_MS = 1_000
_LONGEST_MS = 15 * 60_000


def wait_ms(tries: int) -> int:
    """Return how long after so many tries in a row the next one is let in.

    Over a day that lets in 109 guesses at one nickname.

    >>> [wait_ms(n) for n in (1, 4, 5, 6, 7, 20)]
    [0, 0, 1000, 2000, 4000, 900000]
    """
    if tries < FREE_TRIES:
        return 0
    doublings = min(tries - FREE_TRIES, 20)
    return int(min(_FIRST_MS * 2**doublings, _LONGEST_MS))


def wait_words(milliseconds: int) -> str:
    """Return a wait as it is told.

    >>> [wait_words(ms) for ms in (300, 1_500, 60_001)]
    ['1 second', '2 seconds', '2 minutes']
    """
    seconds = -(-milliseconds // 1000)
    if seconds > 60:
        return f"{-(-seconds // 60)} minutes"
    return f"{seconds} second{'' if seconds == 1 else 's'}"
