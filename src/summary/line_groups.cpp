// Every (material, key) pair is a numbered cell; samples are dealt out to the cells by counting, in the order
// of lines, plots and samples of the batch, so that a plot's samples stay together and nothing is sorted but
// the keys.
#include "summary/line_groups.hpp"

#include "summary/material_order.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <thresh/batch/materials.hpp>
#include <thresh/core/parallel.hpp>

namespace thresh::summary {

namespace {

// The names of materials that were read or listed, in order; index = rank.
class MaterialNames {
  public:
    explicit MaterialNames(const batch::Batch& batch) {
        std::set<std::string_view> names = {""};
        names.insert(batch.material_names.begin(), batch.material_names.end());
        const std::uint32_t stated =
            batch.list.states(batch::ListText::material) ? static_cast<std::uint32_t>(batch.list.size()) : 0;
        for (std::uint32_t entry = 0; entry < stated; ++entry)
            names.insert(batch.list.text(entry, batch::ListText::material));
        names_.assign(names.begin(), names.end());
        for (std::size_t i = 0; i < names_.size(); ++i)
            rank_[names_[i]] = static_cast<std::uint32_t>(i);
        for (unsigned i = 0; i < 256; ++i)
            rank_of_index_[i] = rank_.at(material_name(batch, static_cast<std::uint8_t>(i)));
    }
    std::size_t size() const { return names_.size(); }
    std::string_view name(std::size_t rank) const { return names_[rank]; }
    std::uint32_t rank(std::string_view name) const { return rank_.at(name); }
    std::uint32_t rank(std::uint8_t index) const { return rank_of_index_[index]; }

  private:
    std::vector<std::string_view> names_;
    std::map<std::string_view, std::uint32_t> rank_;
    std::array<std::uint32_t, 256> rank_of_index_{};
};

// The key of each sample as a number whose order is that of the keys.
struct Keys {
    std::vector<std::uint32_t> of_sample; // kNone: in no row
    std::vector<std::vector<std::string>> text;
    std::vector<bool> check;
};

Keys line_keys(const batch::Batch& batch) {
    Keys keys;
    keys.of_sample.assign(batch.samples.size(), kNone);
    for (std::size_t i = 0; i < batch.samples.size(); ++i)
        keys.of_sample[i] = batch.samples[i].line;
    for (const batch::Line& line : batch.lines) {
        keys.text.push_back(batch.has_trials
                                ? std::vector<std::string>{std::string(line.trial), std::string(line.name)}
                                : std::vector<std::string>{std::string(line.name)});
        keys.check.push_back(line.check);
    }
    return keys;
}

Keys attribute_keys(const batch::Batch& batch, const std::vector<std::string>& columns) {
    using Tuple = std::vector<std::string_view>;
    const auto tuple_of = [&](std::uint32_t sample) {
        Tuple tuple;
        for (const std::string& column : columns)
            tuple.push_back(sample_attribute(batch, sample, column));
        return tuple;
    };
    Keys keys;
    keys.of_sample.assign(batch.samples.size(), kNone);
    std::map<Tuple, std::uint32_t> numbers;
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].line != kNone)
            numbers.emplace(tuple_of(s), 0);
    for (auto& [tuple, number] : numbers) {
        number = static_cast<std::uint32_t>(keys.text.size());
        keys.text.emplace_back(tuple.begin(), tuple.end());
    }
    keys.check.assign(keys.text.size(), true);
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].line != kNone) {
            keys.of_sample[s] = numbers.at(tuple_of(s));
            if (!batch.lines[batch.samples[s].line].check)
                keys.check[keys.of_sample[s]] = false;
        }
    return keys;
}

struct Placed {
    std::size_t cell = 0;
    LineMember member;
};

// Some of them, in order, with the keys of unread plots that may belong to any material.
struct PlacedPiece {
    std::vector<Placed> samples;
    std::vector<std::uint32_t> anywhere;
};

// Samples with a material in which every usable reading is outranked by another presentation: they count
// where the other reading stands, not in two half-empty rows.
std::set<std::pair<std::uint32_t, std::uint8_t>> outranked_samples(const Season& season) {
    std::set<std::pair<std::uint32_t, std::uint8_t>> found;
    for (const RowId row : season.judgement.outranked)
        found.emplace(season.batch.sample[row], season.batch.material[row]);
    return found;
}

// Each sample once for every material it was read or listed as. Piece by piece of the lines: a plot is of one
// line.
class Placing {
  public:
    Placing(const Season& season, const MaterialNames& names, const Keys& keys)
        : batch_(season.batch), settings_(season.rules.batch), names_(names), keys_(keys),
          outranked_(outranked_samples(season)) {}

    PlacedPiece place_lines(std::size_t first, std::size_t last) const {
        PlacedPiece made;
        std::vector<std::uint32_t> placed, unread; // keys of a plot's packets
        for (std::size_t line = first; line < last; ++line)
            for (const std::uint32_t plot : batch_.lines[line].plots) {
                placed.clear();
                unread.clear();
                for (const std::uint32_t sample : batch_.plots[plot].samples)
                    if (const std::uint32_t key = keys_.of_sample[sample]; key != kNone)
                        (place(plot, sample, key, made.samples) ? placed : unread).push_back(key);
                // Of a plot with several packets one that was read is enough, and unread ones are one plot.
                for (auto key = unread.begin(); key != unread.end(); ++key)
                    if (std::find(placed.begin(), placed.end(), *key) == placed.end() &&
                        std::find(unread.begin(), key, *key) == key)
                        made.anywhere.push_back(*key);
            }
        return made;
    }

  private:
    // Whether the sample is a member of any row.
    bool place(std::uint32_t plot, std::uint32_t sample, std::uint32_t key, std::vector<Placed>& into) const {
        bool listed_placed = false, any = false;
        const std::string_view listed_material =
            batch_.list.text(batch_.samples[sample].entry, batch::ListText::material);
        const std::uint32_t listed = listed_material.empty() ? 0 : names_.rank(listed_material);
        for_each_material(batch_, sample, [&](std::uint8_t material) {
            const std::uint32_t rank = names_.rank(material);
            // Listed by its crop, `soybean`, and read as a presentation of it.
            listed_placed = listed_placed || batch::presents(names_.name(rank), names_.name(listed));
            if (!outranked_.empty() && outranked_.contains({sample, material}))
                return;
            into.push_back({rank * keys_.text.size() + key, {plot, sample}});
            listed_placed = listed_placed || rank == listed;
            any = true;
        });
        if (listed != 0 && !listed_placed && !batch::may_be_selected(settings_, listed_material))
            return true; // of no row here
        if (listed != 0 && !listed_placed) {
            into.push_back({listed * keys_.text.size() + key, {plot, sample}});
            any = true;
        }
        return any;
    }

    const batch::Batch& batch_;
    const batch::Settings& settings_;
    const MaterialNames& names_;
    const Keys& keys_;
    std::set<std::pair<std::uint32_t, std::uint8_t>> outranked_;
};

std::vector<PlacedPiece> place_samples(const Season& season, const MaterialNames& names, const Keys& keys) {
    constexpr std::size_t kLinesAPiece = 256;
    const Placing placing(season, names, keys);
    const std::size_t lines = season.batch.lines.size();
    std::vector<PlacedPiece> pieces((lines + kLinesAPiece - 1) / kLinesAPiece);
    parallel_for(pieces.size(), season.threads, [&](std::size_t piece) {
        const std::size_t first = piece * kLinesAPiece;
        pieces[piece] = placing.place_lines(first, std::min(lines, first + kLinesAPiece));
    });
    return pieces;
}

std::uint32_t distinct_plots(const LineGroups& made, const LineGroup& group) {
    std::uint32_t plots = 0;
    for (std::uint32_t i = group.first; i < group.last; ++i)
        plots += i == group.first || made.members[i].plot != made.members[i - 1].plot ? 1U : 0U;
    return plots;
}

} // namespace

LineGroups group_lines(const Season& season, const std::vector<std::string>& by) {
    const batch::Batch& batch = season.batch;
    LineGroups made;
    if (by.empty())
        made.key_columns =
            batch.has_trials ? std::vector<std::string>{"trial", "line"} : std::vector<std::string>{"line"};
    else
        std::copy_if(by.begin(), by.end(), std::back_inserter(made.key_columns),
                     [](const std::string& column) { return column != "material"; });
    const Keys keys = by.empty() ? line_keys(batch) : attribute_keys(batch, made.key_columns);
    const MaterialNames names(batch);
    const std::vector<PlacedPiece> placed = place_samples(season, names, keys);

    const std::size_t n_keys = keys.text.size();
    std::vector<std::uint32_t> begin(names.size() * n_keys + 1, 0);
    std::vector<bool> has_group(n_keys, false);
    std::vector<std::uint32_t> anywhere(n_keys, 0); // unread plots of any material
    for (const PlacedPiece& piece : placed) {
        for (const Placed& p : piece.samples) {
            ++begin[p.cell + 1];
            has_group[p.cell % n_keys] = true;
        }
        for (const std::uint32_t key : piece.anywhere)
            ++anywhere[key];
    }
    for (std::size_t cell = 0; cell + 1 < begin.size(); ++cell) {
        const std::size_t key = cell % n_keys;
        const std::uint32_t count = begin[cell + 1];
        begin[cell + 1] += begin[cell];
        const bool empty_row = cell < n_keys && !has_group[key]; // listed, never read, material unknown
        if (count == 0 && !empty_row)
            continue;
        LineGroup group;
        group.material = names.name(cell / n_keys);
        const auto& known = batch.material_names;
        const auto at = std::find(known.begin(), known.end(), group.material);
        group.material_index =
            at == known.end() ? batch::kNoMaterial : static_cast<std::uint8_t>(at - known.begin());
        group.key = keys.text[key];
        group.check = keys.check[key];
        group.first = begin[cell];
        group.last = begin[cell + 1];
        group.expected_plots = anywhere[key];
        made.groups.push_back(std::move(group));
    }
    made.members.resize(begin.back());
    std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
    for (const PlacedPiece& piece : placed)
        for (const Placed& p : piece.samples)
            made.members[next[p.cell]++] = p.member;
    for (LineGroup& group : made.groups) {
        group.expected_plots += distinct_plots(made, group);
        // Listed as a material without rules: no reading can be of it.
        if (!group.material.empty() && group.material_index == batch::kNoMaterial)
            group.last = group.first;
    }
    return made;
}

const std::vector<std::string>& sample_attributes() {
    static const std::vector<std::string> kNames = {
        "trial", "line",       "environment", "year",      "rep",      "block", "plot",     "check",
        "kind",  "generation", "oil_type",    "seed_coat", "location", "due",   "material", "sample"};
    return kNames;
}

std::string_view sample_attribute(const batch::Batch& batch, std::uint32_t sample, std::string_view column) {
    const batch::Sample& about = batch.samples[sample];
    if (column == "sample")
        return about.id;
    if (about.line != kNone) {
        const batch::Line& line = batch.lines[about.line];
        if (column == "line")
            return line.name;
        if (column == "trial")
            return line.trial;
        if (column == "check")
            return batch.list.given() ? (line.check ? "yes" : "no") : "";
    }
    if (about.entry != kNone) {
        using Field = batch::ListText;
        static constexpr std::pair<std::string_view, Field> kFields[] = {{"environment", Field::environment},
                                                                         {"year", Field::year},
                                                                         {"rep", Field::rep},
                                                                         {"block", Field::block},
                                                                         {"plot", Field::plot},
                                                                         {"kind", Field::kind},
                                                                         {"generation", Field::generation},
                                                                         {"oil_type", Field::oil_type},
                                                                         {"seed_coat", Field::seed_coat},
                                                                         {"location", Field::location},
                                                                         {"due", Field::due}};
        for (const auto& [name, field] : kFields)
            if (name == column && !batch.list.text(about.entry, field).empty())
                return batch.list.text(about.entry, field);
    }
    if (about.plot != kNone) { // what a sample_id pattern told, or a duplicate's original
        const batch::Place& place = batch.place_of(batch.plots[about.plot]);
        using Field = std::string_view batch::Place::*;
        static constexpr std::pair<std::string_view, Field> kFields[] = {
            {"environment", &batch::Place::environment},
            {"year", &batch::Place::year},
            {"rep", &batch::Place::rep},
            {"block", &batch::Place::block},
            {"plot", &batch::Place::plot}};
        for (const auto& [name, field] : kFields)
            if (name == column)
                return place.*field;
    }
    return {};
}

SampleDesign sample_design(const batch::Batch& batch, std::uint32_t sample) {
    static const batch::Line no_line;
    static const batch::Place no_place;
    const batch::Sample& about = batch.samples[sample];
    const batch::Line& line = about.line != kNone ? batch.lines[about.line] : no_line;
    const batch::Place& place = about.plot != kNone ? batch.place_of(batch.plots[about.plot]) : no_place;
    SampleDesign made{line.name, line.trial, place.environment, place.rep, place.block, place.plot};
    if (about.entry != kNone) {
        const auto prefer = [&](std::string_view& into, batch::ListText which) {
            if (const std::string_view listed = batch.list.text(about.entry, which); !listed.empty())
                into = listed;
        };
        prefer(made.environment, batch::ListText::environment);
        prefer(made.rep, batch::ListText::rep);
        prefer(made.block, batch::ListText::block);
        prefer(made.plot, batch::ListText::plot);
    }
    return made;
}

} // namespace thresh::summary
