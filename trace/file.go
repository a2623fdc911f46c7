package trace

// Ask is what the caller knows about a file. Zero values mean "find out". A
// Recipe is an Ask with a name.
type Ask struct {
	Rate      float64 // Hz; overrides the file's time column
	Force     string  // column by name (any case) or by number counted from 1
	Time      string  // likewise
	Stretch   string  // likewise: a recorded displacement; "none" for none
	Gate      string  // likewise: a light gate's level; "none" for none
	Unit      string  // N, mN, daN, kN, lbf or kgf; or g or m/s2 of a sensor in the mass; overrides the file's own
	Delimiter string  // comma, semicolon, tab, space or bar: between cells of text
	Decimal   string  // point or comma: before the decimals of text
	Sheet     string  // of a workbook, by name or by number counted from 1
	Part      string  // the one drop wanted of several in a file, by name or by number counted from 1
	FullScale float64 // force at a sample value of 1, in Unit, of formats without units
	Pull      Pull    // which way a pull goes; handed on to the reading, not used by formats

	// The text of the side-car found beside the file, FILE.wav.toml beside
	// FILE.wav, and its name for refusals. They belong to a file, not to a Recipe.
	SideCarName string `json:"-"`
	SideCar     string `json:"-"`
}

// File is what a format made of a file.
type File struct {
	Parts  []*Recording // one for each drop, in the order of the file; none beside a refusal
	Layout Layout       // as far as it was understood
}

// Layout is what was understood of a file, for people to look at and correct.
type Layout struct {
	Format  string   // name of the format
	Packed  string   // "gzip", "zstd" or ""
	Facts   []Fact   // in the order in which they were settled
	Columns []Column // as the file has them
}

// Fact is one thing that was understood, why, and what corrects it.
type Fact struct {
	What string // "delimiter", "decimal mark", "header", "rate", "unit", "drops"
	Is   string // "semicolon"; "line 7"
	Why  string // "each row has 3 cells parted by it"
	Flag string // "--delimiter"; empty when nothing corrects it
}

// Column is one column or channel of a file.
type Column struct {
	No    int      // from 1
	Title string   // as the file has it; "" when it has none
	Name  string   // the title without its unit
	Unit  string   // as the file has it; "" when it has none
	Use   string   // "force", "time", "stretch", "gate", or "" when not read
	Cells []string // the first few, as the file has them
}
