// Adjusted means, predictions, ranks and comparisons as cells of `lines`. What could not be estimated is an
// empty cell; why stands in the notes of the trial.
#include "summary/trials/line_columns.hpp"

#include <thresh/summary/columns.hpp>

#include <cmath>

namespace thresh::summary {

namespace {

void send(RowSink& sink, std::optional<double> value) {
    if (value && std::isfinite(*value))
        sink.number(*value);
    else
        sink.missing();
}

std::string with_check(std::string text, const std::string& check) {
    for (auto at = text.find("CHECK"); at != std::string::npos; at = text.find("CHECK", at + check.size()))
        text.replace(at, 5, check);
    return text;
}

OutColumn for_check(OutColumn column, const TrialModels& models, std::size_t check) {
    column.name = with_check(column.name, models.check_columns()[check]);
    column.description = with_check(column.description, models.checks()[check]);
    return column;
}

void send_own(const TrialModels& models, const TrialModels::Place& place, RowSink& sink) {
    static const stats::LineResult kNone;
    const auto line = static_cast<std::size_t>(place.line);
    const stats::LineResult& result = place.trait != nullptr ? place.trait->analysis->lines[line] : kNone;
    send(sink, result.blue);
    send(sink, result.blue_se);
    send(sink, result.blup);
    if (place.trait != nullptr && place.trait->rank[line])
        sink.integer(*place.trait->rank[line]);
    else
        sink.missing();
    if (models.options().model.best > 0)
        send(sink, result.chance_best);
}

} // namespace

void add_trial_columns(const TrialModels& models, ConstituentId id, const ConstituentInfo& info,
                       std::vector<OutColumn>& into) {
    const std::size_t first = into.size();
    for (const char* name : {"{c}_adj", "{c}_adj_se", "{c}_blup", "{c}_rank", "{c}_chance_best"})
        if (name != std::string_view("{c}_chance_best") || models.options().model.best > 0)
            into.push_back(declared_column("lines", name, id, info));
    for (std::size_t check = 0; check < models.checks().size(); ++check) {
        into.push_back(for_check(declared_column("lines", "{c}_vs_CHECK", id, info), models, check));
        OutColumn p = for_check(declared_column("lines", "{c}_vs_CHECK_p", id, info), models, check);
        p.unit.clear();
        p.decimals = 4;
        into.push_back(std::move(p));
    }
    // Nobody selects on moisture: people see these last.
    if (id == constituent::moisture)
        for (std::size_t i = first; i < into.size(); ++i)
            into[i].detail = 2;
}

void send_trial_cells(const TrialModels& models, std::size_t group, std::size_t slot, RowSink& sink) {
    const TrialModels::Place place = models.place(group, slot);
    send_own(models, place, sink);
    for (const std::string& check : models.checks()) {
        const auto one = models.against(place, check);
        send(sink, one ? std::optional(one->difference) : std::nullopt);
        send(sink, one ? std::optional(one->p) : std::nullopt);
    }
}

void add_trial_columns_long(const TrialModels& models, std::vector<OutColumn>& into) {
    for (const char* name : {"adj", "adj_se", "blup", "rank", "chance_best"})
        if (name != std::string_view("chance_best") || models.options().model.best > 0)
            into.push_back(declared_column("lines_long", name));
    for (std::size_t check = 0; check < models.checks().size(); ++check)
        for (const char* name : {"vs_CHECK", "vs_CHECK_se", "vs_CHECK_p", "vs_CHECK_low", "vs_CHECK_high"})
            into.push_back(for_check(declared_column("lines_long", name), models, check));
}

void send_trial_cells_long(const TrialModels& models, std::size_t group, std::size_t slot, RowSink& sink) {
    const TrialModels::Place place = models.place(group, slot);
    send_own(models, place, sink);
    for (const std::string& check : models.checks()) {
        const auto one = models.against(place, check);
        for (const auto value :
             {&TrialModels::Difference::difference, &TrialModels::Difference::se, &TrialModels::Difference::p,
              &TrialModels::Difference::low, &TrialModels::Difference::high})
            send(sink, one ? std::optional((*one).*value) : std::nullopt);
    }
}

void send_decision(const Decisions& decisions, std::size_t group, std::size_t slot, RowSink& sink) {
    const Decision decision = decisions.decide(group, slot);
    send(sink, decision.certain);
    sink.text(decision_words(decision));
}

} // namespace thresh::summary
