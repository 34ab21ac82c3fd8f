// Least squares with samples swept out: a sample with n readings leaves n - 1 contrasts about the sessions.
// The reduced normal equations have one row a session and are solved, for each connected part, under the
// condition that its offsets sum to 0. Readings weigh equally; session effects are taken as constants, not as
// drawn from a distribution, and drift within a session is not seen.
#include "stats/sparse_factor.hpp"

#include <cmath>
#include <map>
#include <set>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/mixed_model.hpp>
#include <thresh/stats/sessions.hpp>

namespace thresh::stats {
namespace {

std::optional<Error> check(std::span<const LinkedReading> readings, int sessions, int samples) {
    if (readings.empty())
        return Error{"there is no reading to compare sessions by", "read some samples again", {}, 0, 0};
    if (sessions < 2)
        return Error{"there is one session only", "offsets need at least two sessions", {}, 0, 0};
    for (const LinkedReading& reading : readings) {
        if (reading.session < 0 || reading.session >= sessions || reading.sample < 0 ||
            reading.sample >= samples)
            return Error{"a reading has a code out of range", "number sessions and samples from 0", {}, 0, 0};
        if (!std::isfinite(reading.value))
            return Error{"a reading is not a finite number", "leave out missing values", {}, 0, 0};
    }
    return std::nullopt;
}

// Sums and counts of one sample, by session.
struct SampleTotals {
    double sum = 0.0;
    double count = 0.0;
    std::map<int, double> count_in;
};

struct Layout {
    std::map<int, SampleTotals> samples;
    Matrix normal; // reduced normal equations
    Vector right;
    double centre = 0.0;
    std::vector<int> part; // by session, -1 without readings
    int parts = 0;
};

void find_parts(std::span<const LinkedReading> readings, int sessions, int samples, Layout& layout) {
    Factor session{"session", {}, sessions};
    Factor sample{"sample", {}, samples};
    for (const LinkedReading& reading : readings) {
        session.level.push_back(reading.session);
        sample.level.push_back(reading.sample);
    }
    const Connectivity connected = connectivity(session, sample);
    layout.part.assign(static_cast<std::size_t>(sessions), -1);
    layout.parts = connected.parts;
    for (std::size_t i = 0; i < readings.size(); ++i)
        layout.part[static_cast<std::size_t>(session.level[i])] = connected.part[i];
}

Layout make_layout(std::span<const LinkedReading> readings, int sessions, int samples) {
    Layout layout;
    for (const LinkedReading& reading : readings)
        layout.centre += reading.value / static_cast<double>(readings.size());
    layout.normal = Matrix::Zero(sessions, sessions);
    layout.right = Vector::Zero(sessions);
    for (const LinkedReading& reading : readings) {
        SampleTotals& totals = layout.samples[reading.sample];
        totals.sum += reading.value - layout.centre;
        totals.count += 1.0;
        totals.count_in[reading.session] += 1.0;
        layout.normal(reading.session, reading.session) += 1.0;
        layout.right[reading.session] += reading.value - layout.centre;
    }
    for (const auto& [sample, totals] : layout.samples)
        for (const auto& [a, count_a] : totals.count_in) {
            layout.right[a] -= count_a * totals.sum / totals.count;
            for (const auto& [b, count_b] : totals.count_in)
                layout.normal(a, b) -= count_a * count_b / totals.count;
        }
    find_parts(readings, sessions, samples, layout);
    return layout;
}

// Generalised inverse under the condition that offsets sum to 0 within each part: adding 1 to all entries of
// a part makes the matrix regular and leaves contrasts alone.
Matrix constrained_inverse(const Layout& layout) {
    Matrix regular = layout.normal;
    for (Eigen::Index a = 0; a < regular.rows(); ++a)
        for (Eigen::Index b = 0; b < regular.cols(); ++b) {
            const int part_a = layout.part[static_cast<std::size_t>(a)];
            if (part_a >= 0 ? part_a == layout.part[static_cast<std::size_t>(b)] : a == b)
                regular(a, b) += 1.0;
        }
    return regular.ldlt().solve(Matrix::Identity(regular.rows(), regular.cols()));
}

double residual_squares(std::span<const LinkedReading> readings, const Layout& layout,
                        const Vector& offsets) {
    std::map<int, double> level; // of a sample: mean of its readings less the offsets
    for (const LinkedReading& reading : readings)
        level[reading.sample] += (reading.value - layout.centre - offsets[reading.session]) /
                                 layout.samples.at(reading.sample).count;
    double squares = 0.0;
    for (const LinkedReading& reading : readings) {
        const double residual =
            reading.value - layout.centre - offsets[reading.session] - level[reading.sample];
        squares += residual * residual;
    }
    return squares;
}

void count_links(std::span<const LinkedReading> readings, const Layout& layout, SessionOffsets& result) {
    for (const LinkedReading& reading : readings)
        ++result.sessions[static_cast<std::size_t>(reading.session)].readings;
    for (const auto& [sample, totals] : layout.samples)
        if (totals.count_in.size() > 1)
            for (const auto& [session, count] : totals.count_in)
                ++result.sessions[static_cast<std::size_t>(session)].linking_samples;
}

} // namespace

Result<SessionOffsets> session_offsets(std::span<const LinkedReading> readings, int sessions, int samples,
                                       const SessionOptions& options) {
    if (auto error = check(readings, sessions, samples))
        return tl::unexpected<Error>(*error);
    const Layout layout = make_layout(readings, sessions, samples);
    SessionOffsets result;
    result.parts = layout.parts;
    result.sessions.resize(static_cast<std::size_t>(sessions));
    count_links(readings, layout, result);
    std::map<int, int> sessions_in; // part -> sessions
    int present = 0;
    for (int part : layout.part)
        if (part >= 0) {
            ++sessions_in[part];
            ++present;
        }
    const int contrasts = present - layout.parts;
    if (contrasts == 0)
        return fail("no sample was read in two sessions: offsets cannot be estimated",
                    "read a few samples of one session again in the next");
    const Matrix inverse = constrained_inverse(layout);
    const Vector offsets = inverse * layout.right;
    const double used = static_cast<double>(layout.samples.size()) + contrasts;
    result.df = static_cast<double>(readings.size()) - used;
    const double squares = residual_squares(readings, layout, offsets);
    if (options.known_sd) {
        result.residual_sd = *options.known_sd;
        result.df = std::numeric_limits<double>::infinity();
    } else if (result.df < 1.0) {
        return fail("there are too few linking readings to tell an offset from error",
                    "read more samples in several sessions, or give the repeatability SD");
    } else {
        result.residual_sd = std::sqrt(squares / result.df);
    }
    const double s2 = result.residual_sd * result.residual_sd;
    if (s2 > 0.0) {
        result.f_df = contrasts;
        result.f = offsets.dot(layout.right) / contrasts / s2;
        result.p = f_upper(*result.f, contrasts, result.df);
    }
    const double t = t_quantile(1.0 - 0.5 * options.alpha, result.df);
    for (int s = 0; s < sessions; ++s) {
        SessionOffset& session = result.sessions[static_cast<std::size_t>(s)];
        session.part = layout.part[static_cast<std::size_t>(s)];
        if (session.part < 0 || sessions_in[session.part] < 2) {
            session.reason = session.part < 0 ? "no reading" : "shares no sample with another session";
            continue;
        }
        Vector form = Vector::Zero(sessions);
        form[s] = 1.0;
        if (options.reference) {
            if (layout.part[static_cast<std::size_t>(*options.reference)] != session.part) {
                session.reason = "no chain of shared samples leads to the reference session";
                continue;
            }
            form[*options.reference] -= 1.0;
        } else {
            for (int other = 0; other < sessions; ++other)
                if (layout.part[static_cast<std::size_t>(other)] == session.part)
                    form[other] -= 1.0 / sessions_in[session.part];
        }
        session.offset = form.dot(offsets);
        session.se = std::sqrt(std::max(0.0, s2 * form.dot(inverse * form)));
        session.low = *session.offset - t * *session.se;
        session.high = *session.offset + t * *session.se;
        if (*session.se > 0.0)
            session.p = t_two_sided_p(*session.offset / *session.se, result.df);
    }
    return result;
}

} // namespace thresh::stats
