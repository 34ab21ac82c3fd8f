#include <thresh/stats/random.hpp>
#include <thresh/stats/sessions.hpp>

#include <catch2/catch.hpp>

using namespace thresh::stats;

namespace {

// Samples of very different level, each read once in `session` and once in the next one.
std::vector<LinkedReading> chain(int sessions, int links, double sd, std::uint64_t seed,
                                 const std::vector<double>& offsets = {}) {
    std::vector<LinkedReading> readings;
    std::vector<double> z(static_cast<std::size_t>(sessions * links * 2));
    random_normals(seed, 0, z);
    std::size_t at = 0;
    int sample = 0;
    for (int s = 0; s + 1 < sessions; ++s)
        for (int l = 0; l < links; ++l, ++sample)
            for (const int in : {s, s + 1}) {
                const double offset = offsets.empty() ? 0.0 : offsets[static_cast<std::size_t>(in)];
                readings.push_back({in, sample, 30.0 + 2.0 * (sample % 7) + offset + sd * z[at++]});
            }
    return readings;
}

} // namespace

TEST_CASE("one session's offset is that of the full layout with all other sessions as one") {
    const auto readings = chain(5, 6, 0.2, 7, {0, 0.3, 0, 0, 0});
    const auto found = shifted_sessions(readings, 5, {.level = 0});
    std::vector<LinkedReading> merged = readings;
    for (LinkedReading& reading : merged)
        reading.session = reading.session == 1 ? 1 : 0;
    SessionOptions options;
    options.reference = 0;
    const auto full = session_offsets(merged, 2, 24, options);
    REQUIRE(full);
    CHECK(found[1].known);
    CHECK(found[1].offset == Approx(*full->sessions[1].offset).epsilon(1e-10));
    CHECK(found[1].se == Approx(*full->sessions[1].se).epsilon(1e-10));
    CHECK(found[1].low == Approx(*full->sessions[1].low).epsilon(1e-10));
    CHECK(found[1].p == Approx(*full->sessions[1].p).epsilon(1e-8));
}

TEST_CASE("a session that is off does not make its neighbours look off") {
    const auto found = shifted_sessions(chain(6, 10, 0.2, 3, {0, 0, 0.6, 0, 0, 0}), 6, {.level = 0.001});
    for (int s = 0; s < 6; ++s)
        CHECK(found[static_cast<std::size_t>(s)].shifted == (s == 2));
    CHECK(std::abs(found[1].offset) < 0.25);
    CHECK(std::abs(found[3].offset) < 0.25);
    CHECK(found[2].low < 0.6);
    CHECK(found[2].high > 0.6);
    CHECK_FALSE(found[2].either);
}

TEST_CASE("two sessions that only read each other's samples differ, and which is off is left open") {
    const auto found = shifted_sessions(chain(2, 10, 0.1, 3, {0, 0.6}), 2, {.level = 0.01});
    CHECK_FALSE(found[0].shifted);
    CHECK(found[1].shifted);
    CHECK(found[1].either);
}

TEST_CASE("sessions without common samples, or with too few, are said to be not estimable") {
    const auto found =
        shifted_sessions(std::vector<LinkedReading>{{0, 0, 30}, {1, 1, 36}, {1, 2, 35}, {2, 2, 35.1}}, 4);
    CHECK_FALSE(found[0].known);
    CHECK(found[0].reason == "shares no sample with another session");
    CHECK_FALSE(found[1].known);
    CHECK(found[1].reason == "shares too few samples to tell an offset from error");
    CHECK(found[3].reason == "shares no sample with another session");
    CHECK(shifted_sessions({}, 0).empty());
}

TEST_CASE("a sample that was mixed up neither passes for an offset nor hides one") {
    auto readings = chain(5, 6, 0.2, 3, {0, 0, 0.8, 0, 0});
    readings.push_back({0, 90, 38.0});
    readings.push_back({4, 90, 33.0});
    const auto found = shifted_sessions(readings, 5, {.level = 0.001});
    for (int s = 0; s < 5; ++s)
        CHECK(found[static_cast<std::size_t>(s)].shifted == (s == 2));
    CHECK(found[4].left_out == 1);
    CHECK_FALSE(shifted_sessions(readings, 5, {.level = 0.001, .wrong_sample = 0})[2].shifted);
}

TEST_CASE("one or two samples are too few to call a session off") {
    std::vector<LinkedReading> readings = chain(4, 10, 0.1, 3);
    readings.push_back({3, 0, 30.0});
    readings.push_back({4, 0, 31.0});
    readings.push_back({4, 1, 33.0});
    const auto found = shifted_sessions(readings, 5, {.level = 0.01, .wrong_sample = 0});
    CHECK(found[4].known);
    CHECK(found[4].links == 2);
    CHECK_FALSE(found[4].shifted);
}

TEST_CASE("an offset smaller than what matters is estimated and not called one") {
    const auto readings = chain(4, 40, 0.02, 3, {0, 0.05, 0, 0});
    CHECK(shifted_sessions(readings, 4, {.level = 0.01})[1].shifted);
    const auto found = shifted_sessions(readings, 4, {.level = 0.01, .least = 0.18});
    CHECK_FALSE(found[1].shifted);
    CHECK(found[1].low > 0);
}
