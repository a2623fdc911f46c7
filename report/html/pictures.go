package html

import (
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
)

// picture is one drawing in two widths; the style sheet shows the one that the
// page has room for, so that words in it stay readable on a phone.
type picture struct{ wide, narrow string }

const (
	wide   = 760
	narrow = 350
)

func (p *page) draw(wideHeight, narrowHeight float64, chart func(figure.Canvas) *figure.Scene) picture {
	remark := ""
	if p.plan.Invented {
		remark = "invented numbers"
	}
	return picture{
		wide:   chart(figure.Canvas{Width: wide, Height: wideHeight, Remark: remark}).SVG(),
		narrow: chart(figure.Canvas{Width: narrow, Height: narrowHeight, Remark: remark}).SVG(),
	}
}

func (p *page) byFall(model study.Model) picture {
	return p.draw(400, 300, func(c figure.Canvas) *figure.Scene {
		return figure.ForceByFall(model.Measure, p.names, model.Analysis.Means, c)
	})
}

func (p *page) effectsOf(model study.Model) picture {
	return p.draw(0, 0, func(c figure.Canvas) *figure.Scene {
		return figure.Effects(figure.ComparisonsOf(model.Measure, model.Analysis), p.names, c)
	})
}

func (p *page) residuals(model study.Model) picture {
	return p.draw(320, 280, func(c figure.Canvas) *figure.Scene {
		return figure.Residuals(model.Checks.Residuals, p.names, model.Scale, figure.UnitOf(model.Measure), c)
	})
}

func (p *page) quantiles(model study.Model) picture {
	return p.draw(320, 280, func(c figure.Canvas) *figure.Scene {
		return figure.Quantiles(model.Checks.Residuals, p.names, c)
	})
}

func (p *page) effect(a compare.Answer) picture {
	return p.draw(144, 144, func(c figure.Canvas) *figure.Scene { return figure.Effect(a, p.names, c) })
}

func (p *page) overlay(o study.Overlay) picture {
	traces := make([]figure.OverlayTrace, len(o.Traces))
	for i, t := range o.Traces {
		traces[i] = figure.OverlayTrace(t)
	}
	return p.draw(380, 300, func(c figure.Canvas) *figure.Scene { return figure.Overlay(o.Fall, p.names, traces, c) })
}
