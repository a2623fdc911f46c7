package web

import (
	"fallwright.example/figure"
	"fallwright.example/web/page/frame"
)

// Widths of the two forms of a picture, in px.
const (
	wideFigure   = 880
	halfFigure   = 520
	narrowFigure = 360
)

// drawn draws a picture twice, its wide form so wide and high.
func drawn(wide, height float64, invented bool, draw func(figure.Canvas) *figure.Scene) frame.Picture {
	c := figure.Canvas{Width: wide, Height: height}
	if invented {
		c.Remark = "invented"
	}
	p := frame.Picture{Wide: draw(c).SVG()}
	c.Width, c.Height = narrowFigure, min(height, 280)
	p.Narrow = draw(c).SVG()
	return p
}
