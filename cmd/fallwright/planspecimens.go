package main

import (
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/tableio"
)

// attachSpecimens reads a table of specimens that were cut already and writes them
// below a study file. What comes of it is the plan.
func attachSpecimens(cmd *cobra.Command, name string, data []byte, path string) (campaign.Plan, []byte, error) {
	table, err := tableio.Read(path, tableio.Ask{})
	if err != nil {
		return campaign.Plan{}, nil, err
	}
	rows := planfile.SpecimenTable{Name: table.Name}
	for i := range table.Rows {
		rows.Rows = append(rows.Rows, planfile.SpecimenRow{Row: table.Row(i), Cells: map[string]string{}})
	}
	var faults problem.List
	used := map[string]bool{}
	for _, key := range planfile.SpecimenKeys() {
		title, unit := specimenColumn(table, key)
		if title == "" {
			continue
		}
		used[title] = true
		cells, err := specimenCells(table, key, title, unit)
		faults = append(faults, problem.All(err)...)
		for i, text := range cells {
			rows.Rows[i].Cells[key] = text
		}
	}
	if err := faults.Err(); err != nil {
		return campaign.Plan{}, nil, err
	}
	for _, row := range rows.Rows { // as a table of ours has the rope of a lot that is one rope
		if row.Cells["rope"] == row.Cells["lot"] {
			delete(row.Cells, "rope")
		}
	}
	plan, whole, err := planfile.Attach(name, data, rows)
	if err != nil {
		return campaign.Plan{}, nil, err
	}
	say := terminal{cmd.ErrOrStderr()}
	say.line("%d specimens of %s stand below %s, which together are the plan", table.Rows, table.Name, name)
	if left := slices.DeleteFunc(slices.Clone(table.Names), func(n string) bool { return used[n] }); len(left) > 0 {
		say.line("note: these columns are left alone: %s", strings.Join(left, ", "))
	}
	return plan, whole, nil
}

// specimenColumn is the column of a key and its unit: "from", "from [m]", "from_mm".
func specimenColumn(table *tableio.Table, key string) (title, unit string) {
	for _, name := range table.Names {
		if strings.EqualFold(name, key) {
			unit, _ = table.Unit(name)
			return name, unit
		}
	}
	if key == "from" || key == "to" {
		for _, unit := range []string{"m", "cm", "mm"} {
			for _, name := range table.Names {
				if strings.EqualFold(name, key+"_"+unit) {
					return name, unit
				}
			}
		}
	}
	return "", ""
}

// specimenCells are a column's cells as a study file has them.
func specimenCells(table *tableio.Table, key, title, unit string) ([]string, error) {
	cells, err := table.Text(title)
	if err != nil {
		return nil, err
	}
	switch {
	case unit != "" && (key == "from" || key == "to"):
		numbers, err := table.Numbers(title)
		if err != nil {
			return nil, err
		}
		for i, v := range numbers {
			if cells[i] != "" {
				cells[i] = strconv.FormatFloat(v, 'f', -1, 64) + " " + unit
			}
		}
	case key == "spare":
		for i, text := range cells {
			if flag, known := map[string]string{"yes": "true", "no": "false"}[strings.ToLower(text)]; known {
				cells[i] = flag
			}
		}
	}
	return cells, nil
}
