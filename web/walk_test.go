package web

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fallwright.example/trace"
)

func (b *tab) walk(desk *fakeDesk) {
	b.do(chromedp.Navigate(b.root + "/"))
	b.look("studies")
	b.follow("/study/sea-water", chromedp.Click(chromedp.CSS(".studies a")))
	b.look("overview")
	b.keysDialog()

	// By keys to the traces, by a link to one of them.
	b.follow("/study/sea-water/traces", chromedp.KeyEvent("gt"))
	b.steady("traces")
	b.shoot("traces")
	b.filter()
	b.look("traces-filtered") // as the whole table, and quicker to check
	b.follow("/study/sea-water/trace/drop-050", chromedp.Click(chromedp.CSS(`a[href$="/drop-050"]`)))
	b.until(`!!document.querySelector("trace-plot.live")`)
	b.look("trace")
	b.zooms(desk)
	b.follow("/study/sea-water/trace/drop-051", chromedp.KeyEvent("n"))
	b.until(`!!document.querySelector("trace-plot.live")`)

	b.besides()
	b.overlaid()
	b.crowd(desk)

	b.follow("/study/sea-water/findings", chromedp.KeyEvent("gf"))
	b.look("findings")
	b.themes()
	b.quiet()

	b.do(chromedp.Navigate(b.root + "/study/nowhere"))
	b.look("refusal") // the browser itself logs the status 404
}

// besides reads the trace with another filter beside the stored one, and goes to
// the series of its specimen.
func (b *tab) besides() {
	b.Helper()
	b.do(chromedp.SetValue(chromedp.CSS(`select[name="cfc"]`), "180"))
	b.follow("/study/sea-water/trace/drop-051", chromedp.Click(chromedp.CSS(".beside-reading form[method=get] button")))
	b.until(`!!document.querySelector("trace-plot.live")`)
	b.look("trace-two-readings")
	b.do(chromedp.Focus(chromedp.CSS(".stage")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	if said := evaluate[string](b, `document.querySelector('trace-plot [aria-live]').textContent`); !strings.Contains(said, "CFC 180: ") {
		b.Errorf("the cursor does not say the second reading: %q", said)
	}
	b.do(chromedp.KeyEvent("+"), settled)
	if address := evaluate[string](b, `location.search`); !strings.Contains(address, "cfc=180") || !strings.Contains(address, "from=") {
		b.Errorf("the address does not carry window and filter: %q", address)
	}
	b.follow("/study/sea-water/series/S-02", chromedp.Click(chromedp.CSS(`.facts-line a[href*="/series/"]`)))
	b.look("series")
}

// overlaid ticks traces in the list and lays them over each other.
func (b *tab) overlaid() {
	b.Helper()
	b.do(chromedp.Navigate(b.root + "/study/sea-water/traces?fall=5"))
	b.do(chromedp.Click(chromedp.CSS(`input[value="drop-077"]`)), chromedp.Click(chromedp.CSS(`input[value="drop-080"]`)), chromedp.Click(chromedp.CSS(`input[value="drop-086"]`)))
	if said := evaluate[string](b, `document.querySelector("[data-count]").textContent`); said != "3 ticked" {
		b.Errorf("the list says %q", said)
	}
	b.shoot("traces-ticked")
	b.follow("/study/sea-water/overlay", chromedp.Click(chromedp.CSS(".chosen button.plain")))
	b.look("overlay")

	// A row that has the focus picks out its line and name, and lets go of them.
	const picked = `[...document.querySelectorAll(".picking [data-of].picked")].map(m => m.dataset.of).join("")`
	b.do(chromedp.Focus(chromedp.CSS(`tr[data-picks="1"] a`)))
	if got := evaluate[string](b, picked); !strings.HasPrefix(got, "11") || strings.Trim(got, "1") != "" {
		b.Errorf("the second row picks out %q", got)
	}
	b.shoot("overlay-picked")
	b.do(chromedp.Focus(chromedp.CSS(`.head a`)))
	b.until(`!document.querySelector(".picking")`)
}

// imports takes a file in from the first page to the drop's own.
func (b *tab) imports() {
	b.Helper()
	const path = "/study/sea-water/import"
	b.do(chromedp.Navigate(b.root + path))
	b.look("import")
	file := filepath.Join(b.TempDir(), "tower 3.csv")
	if err := os.WriteFile(file, csv(3600, int(b.width)+len(b.name)), 0o600); err != nil {
		b.Fatal(err)
	}
	b.do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="file"]`), []string{file}))
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(".upload button"))); err != nil {
		b.Fatal(err)
	}
	b.until(`location.pathname.startsWith("/study/sea-water/import/")`)
	b.look("import-preview")
	here := evaluate[string](b, `location.pathname`)
	b.do(chromedp.Navigate(b.root + here + "?force=nosuch"))
	b.look("import-refused")
	b.do(chromedp.Navigate(b.root + here))
	b.do(chromedp.SetValue(chromedp.CSS(`select[name="kind"]`), "trial"))
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(".record button"))); err != nil {
		b.Fatal(err)
	}
	b.until(`location.pathname.includes("/trace/")`)
	b.until(`!!document.querySelector("trace-plot.live")`)
	b.look("import-recorded")
	b.quiet()
}

// crowd lays so many traces over each other that their names stand in the key,
// and presses one of them.
func (b *tab) crowd(desk *fakeDesk) {
	b.Helper()
	st, err := desk.Overview(b.ctx, "sea-water")
	if err != nil {
		b.Fatal(err)
	}
	query := "?"
	for _, d := range st.Study.Drops[:40] {
		query += "drop=" + d.ID + "&"
	}
	const path = "/study/sea-water/overlay"
	b.do(chromedp.Navigate(b.root + path + query))
	b.look("overlay-many")
	b.follow(path, chromedp.Click(chromedp.CSS(".line-key li:nth-child(3) button")))
	if n := evaluate[int](b, `document.querySelectorAll(".line-key [aria-pressed=true]").length`); n != 1 {
		b.Errorf("%d names are pressed", n)
	}
	b.do(chromedp.Focus(chromedp.CSS(`.head a`)))
	b.look("overlay-many-picked")
}

func (b *tab) keysDialog() {
	b.Helper()
	b.do(chromedp.KeyEvent("?"))
	b.until(`document.querySelector("dialog.keys").open`)
	b.accessible("keys")
	b.shoot("keys")
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`!document.querySelector("dialog.keys").open`)
}

// themes turns the switch round and sees the ground change and come back.
func (b *tab) themes() {
	b.Helper()
	const ground = `getComputedStyle(document.body).backgroundColor`
	press := chromedp.Click(chromedp.CSS("[data-theme-switch]"))
	before := evaluate[string](b, ground)
	seen := map[string]bool{}
	for range 2 {
		b.do(press)
		seen[evaluate[string](b, ground)] = true
	}
	if len(seen) != 2 {
		b.Errorf("day and dark have the same ground: %v", seen)
	}
	b.do(press)
	if after := evaluate[string](b, ground); after != before {
		b.Errorf("the system's theme gave the ground %s, and after a turn of the switch %s", before, after)
	}
}

var shownWords = regexp.MustCompile(`^(−?[\d.]+) to (−?[\d.]+) s: highest (−?[\d.]+) kN at (−?[\d.]+) s$`)

// shown reads what the plot says it shows, and holds that its highest force is
// the data's in that window.
func (b *tab) shown(signal *trace.Signal) window {
	b.Helper()
	words := evaluate[string](b, `document.querySelector("trace-plot .seen").textContent`)
	m := shownWords.FindStringSubmatch(words)
	if m == nil {
		b.Fatalf("the plot says %q", words)
	}
	var v [4]float64
	for i := range v {
		v[i], _ = strconv.ParseFloat(strings.Replace(m[i+1], "−", "-", 1), 64)
	}
	w := window{v[0], v[1]}
	high := math.Inf(-1)
	for i, t := range signal.Time {
		if t >= w.From-0.0005 && t <= w.To+0.0005 { // said to the millisecond
			high = max(high, signal.Force[i])
		}
	}
	if math.Abs(high/1000-v[2]) > 0.0051 {
		b.Errorf("the plot says %q, the highest force in that window is %.3f kN", words, high/1000)
	}
	return w
}

// settled waits until the plot has the points of its window.
var settled = chromedp.WaitNotPresent(chromedp.CSS("trace-plot[aria-busy]"))

// zooms goes through the plot by keys, by dragging, and by the server's links.
func (b *tab) zooms(desk *fakeDesk) {
	b.Helper()
	view, err := desk.Trace(b.ctx, "sea-water", "drop-050")
	if err != nil {
		b.Fatal(err)
	}
	all := b.shown(view.Signal)

	b.do(chromedp.Click(chromedp.CSS(`button[data-zoom="contact"]`)), settled)
	contact := b.shown(view.Signal)
	b.do(chromedp.Focus(chromedp.CSS(".stage")), chromedp.KeyEvent("+"), settled)
	closer := b.shown(view.Signal)
	if !(closer.length() < 0.55*contact.length() && contact.length() < 0.7*all.length()) {
		b.Errorf("zooming by keys: %v, then %v, then %v", all, contact, closer)
	}
	b.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	if said := evaluate[string](b, `document.querySelector('trace-plot [aria-live]').textContent`); !strings.Contains(said, "kN") || !strings.Contains(said, "ms after first contact") {
		b.Errorf("the cursor says %q", said)
	}
	b.shoot("cursor")
	b.do(chromedp.KeyEvent("0"), settled)
	if w := b.shown(view.Signal); w != all {
		b.Errorf("whole again is %v, was %v", w, all)
	}
	b.drag(view.Signal, all)
	if address := evaluate[string](b, `location.search`); !strings.HasPrefix(address, "?from=") {
		b.Errorf("the address does not carry the window: %q", address)
	}
	b.do(chromedp.KeyEvent("0"), settled)
	b.wheel(view.Signal, all)
	b.do(chromedp.KeyEvent("0"), settled)
	if b.width < 500 {
		b.fingers(view.Signal, all)
	}
}

// wheel zooms in under the pointer while the plot has the focus, and scrolls
// the page past it otherwise.
func (b *tab) wheel(signal *trace.Signal, all window) {
	b.Helper()
	box := b.panel()
	turn := func() {
		_, err := chromedp.Call(b.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{
			Type: input.DispatchMouseEventTypeMouseWheel, X: box[0] + box[2]/2, Y: box[1] + box[3]/2, DeltaX: 1e-3, DeltaY: -120, // a zero would be left out
		})
		if err != nil {
			b.Fatal(err)
		}
		b.do(settled)
	}
	turn()
	w := b.shown(signal)
	if share := w.length() / all.length(); share > 0.8 || share < 0.3 {
		b.Errorf("a turn of the wheel in %v shows %v", all, w)
	}
	b.do(chromedp.Blur(chromedp.CSS(".stage")))
	turn()
	if now := b.shown(signal); now != w {
		b.Errorf("the wheel zooms a plot without focus, from %v to %v", w, now)
	}
	b.do(chromedp.Focus(chromedp.CSS(".stage")))
}

// fingers spreads two fingers to half the window, slides one, and taps twice
// for the whole.
func (b *tab) fingers(signal *trace.Signal, all window) {
	b.Helper()
	box := b.panel()
	y := box[1] + box[3]/2
	const start, move, end = input.DispatchTouchEventTypeTouchStart, input.DispatchTouchEventTypeTouchMove, input.DispatchTouchEventTypeTouchEnd
	touch := func(kind input.DispatchTouchEventType, xs ...float64) {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		for i, x := range xs {
			p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: box[0] + x*box[2], Y: y, ID: new(float64(i))})
		}
		if _, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, p); err != nil {
			b.Fatal(err)
		}
	}
	touch(start, 0.4)
	touch(start, 0.4, 0.6)
	for i := range 6 {
		by := 0.1 * float64(i+1) / 6
		touch(move, 0.4-by, 0.6+by)
	}
	touch(end)
	b.do(settled)
	pinched := b.shown(signal)
	if share := pinched.length() / all.length(); math.Abs(share-0.5) > 0.12 {
		b.Errorf("two fingers from 0.2 to 0.4 apart show %v of %v", pinched, all)
	}
	touch(start, 0.3)
	for i := range 6 {
		touch(move, 0.3+0.05*float64(i+1))
	}
	touch(end)
	b.do(settled)
	slid := b.shown(signal)
	if moved := (pinched.From - slid.From) / pinched.length(); math.Abs(moved-0.3) > 0.08 || math.Abs(slid.length()-pinched.length()) > 0.003 {
		b.Errorf("one finger slid over 0.3 of %v shows %v", pinched, slid)
	}
	for range 2 {
		touch(start, 0.5)
		touch(end)
	}
	b.do(settled)
	if w := b.shown(signal); w != all {
		b.Errorf("two taps show %v, the whole is %v", w, all)
	}
}

// panel brings the force panel into sight and says where it is.
func (b *tab) panel() []float64 {
	b.Helper()
	return evaluate[[]float64](b, `(() => { document.querySelector(".stage").scrollIntoView({block: "center"});
		const r = document.querySelector(".panel .u-over").getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`)
}

// drag pulls the mouse across the first half of the force panel, the peak in
// it.
func (b *tab) drag(signal *trace.Signal, all window) {
	b.Helper()
	box := b.panel()
	y := box[1] + box[3]/2
	b.do(chromedp.DragAndDropXY(box[0]+4, y, box[0]+box[2]/2, y, 12), settled)
	w := b.shown(signal)
	if math.Abs(w.length()/all.length()-0.5) > 0.06 {
		b.Errorf("dragging across half of %v shows %v", all, w)
	}
	b.shoot("dragged")
}
