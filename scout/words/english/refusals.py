"""What fails or is refused whoever asks: texts that cannot be read, things that are not there."""

MESSAGES = {
    "refusal.more": "{count} further faults are not listed; mend these first",
    "refusal.not_found": "there is no {thing} {key} here; it may have been moved to the bin",
    "refusal.stale": "this {thing} was changed by somebody else after you opened it; nothing you typed is lost:"
    " compare both and save again",
    "typed.number": "a number such as 3.5 or 3,5",
    "typed.no_number": "is not a number; give {accepted}",
    "typed.too_large": "is too large; give {accepted}",
    "typed.no_length": "is not a length; give metres or feet and inches, such as 3.8, 3,8 m, 380 cm, 12' 6\""
    " or 12ft 6 1/2in",
    "typed.length_too_large": "is too large to be a length",
    "typed.inches_over": "has 12 or more inches beside the feet; carry them into the feet",
    "typed.part_of_a_foot": "has part of a foot and inches too; give one or the other",
    "typed.fraction": "has a fraction of an inch that is not less than one",
}
