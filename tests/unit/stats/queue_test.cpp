#include <thresh/stats/queue.hpp>
#include <thresh/stats/random.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace thresh::stats;

namespace {

// A place that owns what a QueuePlace points to.
struct Place {
    std::vector<double> observed, predicted, after, before;
};
std::vector<ShiftedRun> runs_in(const std::vector<Place>& queue, const ResidualShape& shape,
                                const ShiftOfQueue& options) {
    ShiftSearch search(shape, options);
    for (const Place& place : queue)
        search.add({place.observed, place.predicted, place.after, place.before});
    return search.runs();
}

// Samples whose two variables differ by line (SD 1.5 and 1) and are predicted with SD 0.5 and 0.4.
std::vector<Place> queue_of(std::size_t n, std::uint64_t seed, std::size_t first = 0, std::size_t length = 0,
                            int shift = 1) {
    std::vector<double> z(4 * n);
    random_normals(seed, 0, z);
    std::vector<Place> queue(n);
    for (std::size_t k = 0; k < n; ++k)
        queue[k].predicted = {1.5 * z[4 * k], 1.0 * z[4 * k + 1]};
    for (std::size_t k = 0; k < n; ++k) {
        const bool moved = k >= first && k < first + length;
        const std::size_t from = moved ? static_cast<std::size_t>(static_cast<int>(k) + shift) : k;
        queue[k].observed = {queue[from].predicted[0] + 0.5 * z[4 * k + 2],
                             queue[from].predicted[1] + 0.4 * z[4 * k + 3]};
    }
    for (std::size_t k = 0; k < n; ++k) {
        if (k + 1 < n)
            queue[k].after = queue[k + 1].predicted;
        if (k > 0)
            queue[k].before = queue[k - 1].predicted;
    }
    return queue;
}

ResidualShape shape_of(std::size_t n) {
    std::vector<double> z(2 * n);
    random_normals(99, 0, z);
    std::vector<std::vector<double>> rows;
    for (std::size_t k = 0; k < n; ++k)
        rows.push_back({0.5 * z[2 * k], 0.4 * z[2 * k + 1]});
    return *ResidualShape::of(rows);
}

} // namespace

TEST_CASE("a run of eight moved by one is found with its ends and direction") {
    int exact = 0;
    for (std::uint64_t seed = 1; seed <= 50; ++seed)
        for (const int shift : {1, -1}) {
            const auto runs = runs_in(queue_of(60, seed, 20, 8, shift), shape_of(500), {.places = 3000});
            if (runs.size() == 1 && runs[0].shift == shift && runs[0].first >= 19 && runs[0].first <= 22 &&
                runs[0].last >= 25 && runs[0].last <= 28)
                ++exact;
        }
    CHECK(exact >= 95);
}

TEST_CASE("queues without fault hold no run more often than their chance") {
    int found = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed)
        found += !runs_in(queue_of(60, seed), shape_of(500), {.chance = 0.05, .places = 60}).empty();
    CHECK(found <= 0.05 * 300 + 8);
}

TEST_CASE("two samples that were swapped are no run, however far apart they lie") {
    auto queue = queue_of(40, 3);
    queue[10].predicted = {9, 9};
    queue[9].after = queue[11].before = queue[10].predicted;
    queue[10].observed = queue[11].predicted;
    queue[11].observed = {9, 9};
    CHECK(runs_in(queue, shape_of(500), {.places = 40}).empty());
}

TEST_CASE(
    "a long queue of samples that hardly differ holds no run, though the shape is a little too narrow") {
    constexpr std::size_t n = 20000;
    std::vector<double> z(4 * n);
    int found = 0, without_least = 0;
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        random_normals(seed, 0, z);
        std::vector<Place> queue(n);
        for (std::size_t k = 0; k < n; ++k) {
            queue[k].predicted = {0.05 * z[4 * k], 0.05 * z[4 * k + 1]};
            queue[k].observed = {0.6 * z[4 * k + 2], 0.5 * z[4 * k + 3]};
        }
        for (std::size_t k = 0; k + 1 < n; ++k)
            queue[k].after = queue[k + 1].before = queue[k].predicted;
        found += !runs_in(queue, shape_of(500), {.places = n}).empty();
        without_least += !runs_in(queue, shape_of(500), {.places = n, .least = 0}).empty();
    }
    CHECK(found == 0);
    CHECK(without_least > 0);
}

TEST_CASE("places without a prediction neither make nor break a run") {
    auto queue = queue_of(60, 4, 20, 12);
    queue[25].predicted.clear();
    const auto runs = runs_in(queue, shape_of(500), {.places = 60});
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].last > 26);
    CHECK(runs_in({}, shape_of(500), {}).empty());
}

TEST_CASE("two readings of one cup are told from neighbours by everything together") {
    constexpr std::size_t n = 12;
    std::vector<double> z(400 * n * 3);
    random_normals(5, 0, z);
    std::vector<std::vector<double>> repeats, neighbours;
    for (std::size_t r = 0; r < 400; ++r) {
        repeats.emplace_back();
        neighbours.emplace_back();
        for (std::size_t v = 0; v < n; ++v) {
            repeats.back().push_back(0.1 * z[(3 * r) * n + v]);
            neighbours.back().push_back(0.1 * z[(3 * r + 1) * n + v] + 0.4 * z[(3 * r + 2) * n + v]);
        }
    }
    const auto model = SameCup::of(repeats, neighbours);
    REQUIRE(model);
    int same = 0, apart = 0;
    const double threshold = std::log(400 / 0.01);
    for (std::size_t r = 0; r < 400; ++r) {
        same += model->log_ratio(repeats[r]) > threshold;
        apart += model->log_ratio(neighbours[r]) > threshold;
    }
    CHECK(apart == 0);
    CHECK(same > 0); // twelve constituents at four times the noise are just enough
    repeats.resize(20);
    CHECK_FALSE(SameCup::of(repeats, neighbours)); // too few repeats
}
