package planfile

import (
	"reflect"
	"strings"
	"testing"

	"fallwright.example/campaign"
)

// What a study file says of its model, each word once; without the part, and
// with the words of the defaults, it is the zero value.
func TestAnalysis(t *testing.T) {
	cases := []struct {
		part string
		want campaign.AnalysisRule
	}{
		{"", campaign.AnalysisRule{}},
		{"[analysis]\n", campaign.AnalysisRule{}},
		{
			"[analysis]\nfalls = \"levels\"\nblocks = []\nspread = \"equal\"\ndf = \"kenward-roger\"\nadjust = \"none\"\n",
			campaign.AnalysisRule{},
		},
		{
			"[analysis]\nfalls = \"trend\"\nblocks = [\"rope\", \"day\"]\nspread = \"by condition\"\ndf = \"satterthwaite\"\nadjust = \"holm\"\n",
			campaign.AnalysisRule{
				FallsAs: campaign.FallTrend, Blocks: []campaign.Block{campaign.RopeBlock, campaign.DayBlock},
				SpreadByCondition: true, DF: campaign.Satterthwaite, Adjust: campaign.Holm,
			},
		},
		{
			"[analysis]\nfalls = \"trend-per-specimen\"\nadjust = \"joint\"\n",
			campaign.AnalysisRule{FallsAs: campaign.FallTrendPerSpecimen, Adjust: campaign.Joint},
		},
	}
	base, _, _ := strings.Cut(skerryHead(t), "[analysis]")
	for _, c := range cases {
		p, err := Parse("s.toml", []byte(base+"\n"+c.part))
		if err != nil {
			t.Errorf("%q: %v", c.part, err)
			continue
		}
		if !reflect.DeepEqual(p.Analysis, c.want) {
			t.Errorf("%q gives %+v, want %+v", c.part, p.Analysis, c.want)
		}
	}
}
