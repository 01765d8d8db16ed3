"""Two builds side by side, and an answer beside an earlier one."""
