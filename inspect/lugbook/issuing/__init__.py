"""Reports and notices, made and entered in the trail.

Stands where the pipeline stands: it uses the pipeline and the trail, and commands use it.
"""
