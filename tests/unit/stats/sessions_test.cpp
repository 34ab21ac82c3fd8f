#include <thresh/stats/mixed_model.hpp>
#include <thresh/stats/random.hpp>
#include <thresh/stats/sessions.hpp>

#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

TEST_CASE("an exact shift between sessions is found exactly") {
    std::vector<LinkedReading> readings;
    for (int sample = 0; sample < 6; ++sample) {
        readings.push_back({0, sample, 30.0 + sample});
        readings.push_back({1, sample, 30.4 + sample});
    }
    SessionOptions options;
    options.reference = 0;
    const auto result = session_offsets(readings, 2, 6, options);
    REQUIRE(result);
    CHECK(*result->sessions[1].offset == Approx(0.4));
    CHECK(*result->sessions[0].offset == Approx(0.0).margin(1e-12));
    CHECK(result->residual_sd < 1e-10);
    const auto centred = session_offsets(readings, 2, 6);
    CHECK(*centred->sessions[1].offset == Approx(0.2));
    CHECK(*centred->sessions[0].offset == Approx(-0.2));
}

TEST_CASE("two sessions with the same samples give the paired t test") {
    const std::vector<double> differences{0.3, 0.1, 0.4, 0.2, 0.25};
    std::vector<LinkedReading> readings;
    for (int sample = 0; sample < 5; ++sample) {
        readings.push_back({0, sample, 30.0 + 2 * sample});
        readings.push_back({1, sample, 30.0 + 2 * sample + differences[static_cast<std::size_t>(sample)]});
    }
    SessionOptions options;
    options.reference = 0;
    const auto result = session_offsets(readings, 2, 5, options);
    // Mean 0.25, SD 0.111803399 of the differences, 4 degrees of freedom.
    CHECK(*result->sessions[1].offset == Approx(0.25));
    CHECK(*result->sessions[1].se == Approx(0.05).epsilon(1e-9));
    CHECK(result->df == 4.0);
    CHECK(*result->sessions[1].p == Approx(0.0074904).epsilon(1e-3));
    CHECK(*result->p == Approx(*result->sessions[1].p).epsilon(1e-9));
}

TEST_CASE("offsets agree with the general linear model") {
    std::vector<LinkedReading> readings;
    std::vector<double> noise(60);
    random_normals(2, 2, noise);
    MixedModel model;
    Factor session{"session", {}, 4};
    Factor sample{"sample", {}, 10};
    for (int i = 0; i < 60; ++i) {
        if (i % 7 == 3)
            continue;
        const LinkedReading reading{i % 4, (i * 3 + i / 4) % 10, 35.0 + noise[static_cast<std::size_t>(i)]};
        readings.push_back(reading);
        model.y.push_back(reading.value);
        session.level.push_back(reading.session);
        sample.level.push_back(reading.sample);
    }
    model.fixed = {session, sample};
    const auto fit = fit_mixed_model(model);
    SessionOptions options;
    options.reference = 1;
    const auto result = session_offsets(readings, 4, 10, options);
    REQUIRE(fit);
    REQUIRE(result);
    for (int s : {0, 2, 3}) {
        const auto expected =
            fit->estimate({{fit->fixed_position(0, s), 1.0}, {fit->fixed_position(0, 1), -1.0}});
        REQUIRE(expected);
        CHECK(*result->sessions[static_cast<std::size_t>(s)].offset == Approx(expected->value).epsilon(1e-9));
        CHECK(*result->sessions[static_cast<std::size_t>(s)].se == Approx(expected->se).epsilon(1e-9));
        CHECK(result->df == Approx(expected->df).epsilon(1e-8));
    }
}

TEST_CASE("a session without shared samples is told as not estimable") {
    const std::vector<LinkedReading> readings{{0, 0, 30.0}, {1, 0, 30.2}, {0, 1, 33.0}, {1, 1, 33.1},
                                              {0, 2, 35.0}, {1, 2, 35.3}, {2, 3, 40.0}};
    const auto result = session_offsets(readings, 4, 4);
    REQUIRE(result);
    CHECK(result->parts == 2);
    CHECK(result->sessions[0].offset);
    CHECK_FALSE(result->sessions[2].offset);
    CHECK(result->sessions[2].reason.find("shares no sample") != std::string::npos);
    CHECK(result->sessions[3].reason == "no reading");
    SessionOptions options;
    options.reference = 2;
    CHECK_FALSE(session_offsets(readings, 4, 4, options)->sessions[0].offset);
}

TEST_CASE("sessions that nothing links are an error with a way out") {
    const std::vector<LinkedReading> readings{{0, 0, 30.0}, {1, 1, 30.2}};
    const auto result = session_offsets(readings, 2, 2);
    REQUIRE_FALSE(result);
    CHECK(result.error().message.find("no sample was read in two sessions") != std::string::npos);
    CHECK_FALSE(session_offsets({}, 2, 2));
    CHECK_FALSE(session_offsets(readings, 1, 2));
    const std::vector<LinkedReading> single{{0, 0, 30.0}, {1, 0, 30.2}};
    CHECK_FALSE(session_offsets(single, 2, 1));
    SessionOptions options;
    options.known_sd = 0.1;
    CHECK(session_offsets(single, 2, 1, options));
}
