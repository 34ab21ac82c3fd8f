// The tree of plots, samples and readings is built as `lines` walks it; the means come from the same
// functions, so that the trace cannot tell another story than the table.
#include <thresh/summary/trace.hpp>

#include "summary/finding_codes.hpp"
#include "summary/line_numbers.hpp"
#include "summary/reading_places.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

std::string plot_label(const batch::Batch& batch, const LineMember& member) {
    const batch::Place& place = batch.place_of(batch.plots[member.plot]);
    std::string label;
    const auto add = [&](const char* what, std::string_view value) {
        if (!value.empty())
            label += fmt::format("{}{}{}", label.empty() ? "" : " ", what, value);
    };
    add("", name_of(environment_of(place))); // a site in two years is two
    add("rep ", place.rep);
    add("block ", place.block);
    add("plot ", place.plot);
    return place.plot.empty() ? "sample " + std::string(batch.samples[member.sample].id) : label;
}

class Tracer {
  public:
    Tracer(const SampleMeans& means, ConstituentId id)
        : means_(means), season_(means.season()), id_(id), slot_(means.values().slot_of(id)),
          workspace_(means.workspace()) {}

    Trace line(const LineGroups& groups, const LineGroup& group) {
        const ConstituentInfo& info = season_.rules.constituents[id_];
        Trace made;
        made.material = group.material;
        made.line = group.key.back();
        made.trial = group.key.size() > 1 ? group.key.front() : "";
        made.constituent = info.name;
        made.unit = info.unit;
        made.basis = means_.basis_of(slot_, group.material_index);
        for (const basis::Recipe& recipe : basis::recipes())
            if (recipe.id == id_ && means_.values().is_derived(id_))
                made.formula = recipe.formula;
        for (const rules::TraitFormula& trait : season_.rules.traits)
            if (trait.id == id_)
                made.formula = trait.formula;
        for (std::uint32_t i = group.first; i < group.last;) {
            const std::uint32_t plot = groups.members[i].plot;
            TracedPlot traced;
            traced.label = plot_label(season_.batch, groups.members[i]);
            double sum = 0;
            for (; i < group.last && groups.members[i].plot == plot; ++i) {
                traced.samples.push_back(sample(groups.members[i].sample, group.material_index));
                sum += traced.samples.back().n > 0 ? traced.samples.back().mean : 0.0;
                traced.n += traced.samples.back().n > 0 ? 1U : 0U;
            }
            traced.mean = traced.n > 0 ? sum / traced.n : kNothing;
            made.plots.push_back(std::move(traced));
        }
        LineArithmetic arithmetic(means_);
        const LineNumbers& numbers = arithmetic.compute(groups, group);
        made.n = numbers.provisional ? 0 : numbers.n[slot_];
        made.mean = made.n > 0 ? numbers.mean[slot_] : kNothing;
        made.sd = made.n > 1 ? numbers.sd[slot_] : kNothing;
        made.se = made.n > 1 ? numbers.se[slot_] : kNothing;
        return made;
    }

  private:
    TracedSample sample(std::uint32_t index, std::uint8_t material) {
        TracedSample made;
        made.id = season_.batch.samples[index].id;
        for (const RowId row : season_.batch.rows_of(index))
            if (season_.batch.material[row] == material)
                made.readings.push_back(reading(row));
        SampleNumbers numbers;
        means_.compute({index, material}, *workspace_, numbers);
        made.n = numbers.n[slot_];
        made.mean = numbers.mean[slot_];
        return made;
    }

    TracedReading reading(RowId row) {
        const ReadingValues& values = means_.values();
        TracedReading made;
        made.row = row;
        const Block& block = season_.batch.block_of(row);
        const std::size_t at = row - block.first;
        made.time = block.time_of(at);
        made.verdict = season_.judgement.verdict[row];
        made.mark = season_.judgement.mark(row, id_);
        made.moisture = basis::moisture_of(block, at);
        if (const auto corrected = values.adjuster().moisture(row))
            made.moisture = corrected;
        if (const rules::Adjustment* one = values.adjuster().find(row, id_))
            made.adjustment = fmt::format("{} + {} x value on {} ({}:{})", one->intercept, one->slope,
                                          to_text(one->basis), one->origin.where, one->origin.line);
        values.usable(row, workspace_->scratch, workspace_->values.data());
        const double usable = workspace_->values[slot_];
        made.used = made.verdict <= Verdict::review && !std::isnan(usable);
        if (values.is_derived(id_)) {
            made.cell = cell_place(season_.batch, row, 0);
            if (!std::isnan(usable))
                made.value = usable;
        } else {
            read_cell(row, block, at, made);
        }
        FindingCodes codes(season_);
        for (const Finding& f : season_.judgement.of_row(row))
            if (f.constituent == id_ || f.about == About::reading)
                codes.add(f);
        for_marking_findings(season_, row, [&](const Finding& f) {
            if (f.constituent == id_)
                codes.add(f);
        });
        made.findings = codes.joined();
        made.why_not = why_not(made, row);
        return made;
    }

    void read_cell(RowId row, const Block& block, std::size_t at, TracedReading& made) {
        const auto column = block.table->find(id_);
        if (!column) {
            made.cell = cell_place(season_.batch, row, 0);
            return;
        }
        const Column& about = block.table->numbers[*column];
        const bool converts = about.part_of == PartOf::sample && id_ != constituent::moisture;
        made.cell = cell_place(season_.batch, row, about.position);
        made.as_read = basis::raw_value(block, at, *column);
        if (about.part_of == PartOf::sample)
            made.basis_as_read =
                about.basis.kind == Basis::Kind::fixed && converts ? to_text(about.basis) : "as-is";
        made.factor = converts ? basis::restate(1.0, about.basis, means_.values().wanted(row), made.moisture)
                               : std::optional(1.0);
        means_.values().all(row, workspace_->scratch, workspace_->values.data());
        if (const double value = workspace_->values[slot_]; !std::isnan(value))
            made.value = value;
    }

    static std::string why_not(const TracedReading& reading, RowId) {
        if (reading.used)
            return {};
        if (reading.verdict == Verdict::superseded)
            return "superseded by a later reading";
        if (reading.verdict == Verdict::exclude)
            return "the reading is excluded";
        if (reading.mark == Mark::exclude)
            return "the value is excluded";
        if (reading.as_read && !reading.factor)
            return "no moisture to convert with";
        return "no value";
    }

    const SampleMeans& means_;
    Season season_;
    ConstituentId id_;
    std::size_t slot_;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace_;
};

Result<ConstituentId> constituent_of(const SampleMeans& means, const std::string& name) {
    std::vector<std::string> names;
    for (const ConstituentId id : means.constituents()) {
        names.push_back(means.season().rules.constituents[id].name);
        if (names.back() == name)
            return id;
    }
    return fail("these exports have no constituent `" + name + "`",
                nearest_hint(name, names, "constituents here"));
}

} // namespace

Result<std::vector<Trace>> trace(const SampleMeans& means, const std::string& line,
                                 const std::string& constituent) {
    const auto id = constituent_of(means, constituent);
    if (!id)
        return tl::unexpected(id.error());
    const LineGroups groups = group_lines(means.season(), {});
    std::vector<ConstituentId> wanted = {*id};
    if (means.values().is_ratio(*id))
        wanted = means.values().inputs_of(*id);
    std::vector<Trace> traces;
    std::vector<std::string> names;
    for (const LineGroup& group : groups.groups) {
        names.push_back(group.key.back());
        if (group.key.back() == line)
            for (const ConstituentId one : wanted)
                traces.push_back(Tracer(means, one).line(groups, group));
    }
    if (traces.empty()) {
        std::sort(names.begin(), names.end());
        names.erase(std::unique(names.begin(), names.end()), names.end());
        names.resize(std::min<std::size_t>(names.size(), 2000));
        return fail("there is no line `" + line + "`", nearest_hint(line, names, "lines here"));
    }
    return traces;
}

} // namespace thresh::summary
