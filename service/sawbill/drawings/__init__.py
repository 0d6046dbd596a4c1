"""Drawings of a frame, written as SVG from its boxes alone: what is drawn is what is cut.

`lines` computes what is seen of boxes, `paper` sets it on a sheet, `pictures` and `shop` say what is on each sheet.
Inside, space is in whole nanometres as in the frame, a view's plane and the paper in millimetres.
"""
