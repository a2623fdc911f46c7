package web

import (
	"log/slog"
	"net/http"

	"fallwright.example/problem"
)

// server holds what every handler needs.
type server struct {
	desk    Desk
	options Options
	log     *slog.Logger
	assets  *assets
	pending *pending
}

// New returns the web app over a desk. It panics when the embedded assets are
// not whole, which is a fault of the build.
func New(desk Desk, options Options) http.Handler {
	s := &server{desk: desk, options: options, log: options.Log, assets: mustAssets(), pending: newPending()}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /{$}", s.answer(s.studies))
	mux.Handle("GET /study/{name}", s.answer(s.overview))
	mux.Handle("GET /study/{name}/traces", s.answer(s.traces))
	mux.Handle("GET /study/{name}/trace/{drop}", s.answer(s.trace))
	mux.Handle("GET /study/{name}/trace/{drop}/points", s.data(s.points))
	mux.Handle("POST /study/{name}/trace/{drop}/reading", s.answer(s.storeReading))
	mux.Handle("GET /study/{name}/overlay", s.answer(s.overlay))
	mux.Handle("GET /study/{name}/series/{specimen}", s.answer(s.series))
	mux.Handle("GET /study/{name}/import", s.answer(s.importer))
	mux.Handle("POST /study/{name}/import", s.answer(s.upload))
	mux.Handle("GET /study/{name}/import/{sha}", s.answer(s.preview))
	mux.Handle("POST /study/{name}/import/{sha}/recipe", s.answer(s.keepRecipe))
	mux.Handle("POST /study/{name}/import/{sha}/drop", s.answer(s.recordDrop))
	mux.Handle("GET /study/{name}/findings", s.answer(s.findings))
	mux.Handle("GET /study/{name}/question", s.answer(s.question))
	mux.Handle("GET /study/{name}/plan", s.answer(s.plan))
	mux.HandleFunc("GET /study/{name}/plan/numbers", s.numbers)
	mux.Handle("POST /study/{name}/freeze", s.answer(s.freezePlan))
	mux.Handle("POST /study/{name}/deviation", s.answer(s.deviate))
	mux.Handle("GET /study/{name}/cut-list", s.answer(s.cutList))
	mux.Handle("GET /study/{name}/cut-list/labels", s.answer(s.labels))
	if options.Calendar != nil {
		mux.Handle("GET /study/{name}/timetable.ics", s.answer(s.calendar))
	}
	mux.Handle("GET /study/{name}/water", s.answer(s.water))
	mux.Handle("GET /study/{name}/water/entry", s.answer(s.bathSide))
	mux.Handle("POST /study/{name}/water/weigh", s.answer(s.weigh))
	mux.Handle("POST /study/{name}/water/gauge", s.answer(s.gauge))
	mux.Handle("POST /study/{name}/water/pull", s.answer(s.pull))
	mux.Handle("GET /study/{name}/rig", s.answer(s.rig))
	mux.Handle("GET /study/{name}/wall", s.answer(s.wall))
	mux.HandleFunc("GET /study/{name}/laws", s.laws)
	if options.Report != nil {
		mux.Handle("GET /study/{name}/report", s.answer(s.report))
	}
	mux.HandleFunc("GET /asset/{file}", s.asset)
	mux.Handle("GET /", s.answer(nowhere))
	return guard(http.NewCrossOriginProtection().Handler(mux))
}

func nowhere(r *http.Request) (answer, error) {
	return answer{}, problem.New(problem.NotFound, r.URL.Path, "there is no page at this address")
}
