"""What stands under every answer about parts that people trust their lives to."""

CAUTIONS = (
    "This is arithmetic on what was measured, not an approval.",
    "Where lives depend on cage, hinge or latch, the rule book, scrutineer and engineer decide.",
)
