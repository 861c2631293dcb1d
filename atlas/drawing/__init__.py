"""Sketches and plots as vector data, drawn in terminal cells and as SVG.

``sketch.picture_of`` and ``plot.plot`` make pictures, ``terminal.draw`` and ``svg.to_svg`` draw
them. Nothing is imported here: the application's first screen should not wait for numpy.
"""
