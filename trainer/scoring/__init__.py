"""Was it right: the computed key, findings, marks, the debrief."""
