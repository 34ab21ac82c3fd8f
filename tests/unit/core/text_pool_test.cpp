#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <functional>
#include <string>
#include <thresh/core/text_pool.hpp>
#include <vector>

using thresh::kNoText;
using thresh::TextId;
using thresh::TextPool;

TEST_CASE("interning the same text twice gives the same id") {
    TextPool pool;
    CHECK(pool.intern("S-7") == pool.intern("S-7"));
    CHECK(pool.find("S-8") == kNoText);
    CHECK(TextPool().find("") == kNoText);
    // A view of nothing is a text too, the same as "".
    CHECK(pool.find(std::string_view()) == kNoText);
    CHECK(pool.intern(std::string_view()) == pool.intern(""));
    pool.sort_bytewise();
    CHECK(pool.find(std::string_view()) == 0);
}

TEST_CASE("after sorting, ids follow the bytes whatever the order of arrival") {
    TextPool one, two;
    for (int i = 0; i < 1000; ++i)
        one.intern("S" + std::to_string(i));
    for (int i = 999; i >= 0; --i)
        two.intern("S" + std::to_string(i));
    const auto moved = one.sort_bytewise();
    two.sort_bytewise();
    REQUIRE(one.size() == 1000);
    for (thresh::TextId id = 0; id < 1000; ++id) {
        REQUIRE(one[id] == two[id]);
        if (id > 0)
            REQUIRE(one[id - 1] < one[id]);
        REQUIRE(one.find(two[id]) == id);
        REQUIRE(one[moved[id]] == "S" + std::to_string(id));
    }
}

TEST_CASE("texts that begin alike are told apart, however long they are") {
    const std::string fifteen(15, 'a'), sixteen(16, 'a'), twenty_three(23, 'a'), twenty_four(24, 'a');
    const std::vector<std::string> texts = {"a",
                                            "ab",
                                            std::string("a\0", 2),
                                            fifteen,
                                            sixteen,
                                            sixteen + "b",
                                            twenty_three,
                                            twenty_four,
                                            twenty_four + "x",
                                            twenty_four + "y",
                                            twenty_three + std::string(1, '\0')};
    TextPool pool;
    for (std::size_t i = 0; i < texts.size(); ++i)
        REQUIRE(pool.intern(texts[i]) == i);
    for (std::size_t i = 0; i < texts.size(); ++i)
        CHECK(pool.find(texts[i]) == i);
    CHECK(pool.find(twenty_four + "z") == kNoText);
    CHECK(pool.find(std::string(22, 'a')) == kNoText);
    pool.sort_bytewise();
    for (thresh::TextId id = 1; id < pool.size(); ++id)
        CHECK(pool[id - 1] < pool[id]);
}

TEST_CASE("merged pools hold each text once, in bytewise order, for any number of threads") {
    std::vector<TextPool> pools(3);
    for (int i = 0; i < 600; ++i)
        pools[static_cast<std::size_t>(i % 3)].intern("trial-2026-plot-" + std::to_string(i / 2));
    pools[1].intern("trial-2026-plot-0");
    const std::vector<const TextPool*> all = {&pools[0], &pools[1], &pools[2]};
    for (const unsigned threads : {1U, 2U, 7U}) {
        std::vector<std::vector<thresh::TextId>> new_ids;
        const TextPool merged = TextPool::merge(all, threads, new_ids);
        REQUIRE(merged.size() == 300);
        for (thresh::TextId id = 1; id < merged.size(); ++id)
            REQUIRE(merged[id - 1] < merged[id]);
        for (std::size_t p = 0; p < pools.size(); ++p)
            for (thresh::TextId id = 0; id < pools[p].size(); ++id) {
                REQUIRE(merged[new_ids[p][id]] == pools[p][id]);
                REQUIRE(merged.find(pools[p][id]) == new_ids[p][id]);
            }
    }
    std::vector<std::vector<thresh::TextId>> none;
    CHECK(TextPool::merge({}, 1, none).size() == 0);
}

TEST_CASE("long texts of equal beginning and equal short hash are still two texts") {
    // Of so many texts some pairs share the half of the hash that is kept: about 20 of 400,000.
    const std::string beginning(30, 'x');
    TextPool pool;
    std::size_t wrong = 0;
    for (std::uint32_t i = 0; i < 400000; ++i)
        wrong += pool.intern(beginning + std::to_string(i)) != i;
    CHECK(wrong == 0);
}

TEST_CASE("long texts are found where they stand after growing, sorting and indexing anew") {
    TextPool pool;
    const auto text = [](int i) { return "2026_AYT_TRIAL_07_PLOT_" + std::to_string(i * 7919 % 5003); };
    for (int i = 0; i < 5000; ++i)
        REQUIRE(pool.intern(text(i)) == static_cast<TextId>(i));
    pool.intern("short");
    pool.reserve(50000);
    const auto all_found = [&](const std::function<TextId(int)>& expected) {
        std::size_t found = 0;
        for (int i = 0; i < 5000; ++i)
            found += pool.find(text(i)) == expected(i) ? 1U : 0U;
        return found == 5000 && pool.find(text(5001)) == kNoText &&
               pool.find("2026_AYT_TRIAL_07_PLOT") == kNoText;
    };
    CHECK(all_found([](int i) { return static_cast<TextId>(i); }));
    const std::vector<TextId> sorted = pool.sort_bytewise();
    pool.ready_to_find();
    CHECK(all_found([&](int i) { return sorted[static_cast<std::size_t>(i)]; }));
    const TextPool copy = pool;
    pool = {};
    CHECK(copy.find(text(7)) == sorted[7]);
}

TEST_CASE("large pools merge in stretches to what one thread makes of them") {
    std::array<TextPool, 3> pools;
    for (int i = 0; i < 30000; ++i) {
        const std::string text =
            "T" + std::to_string(i * 7919 % 30011) + (i % 5 == 0 ? "-a text of more than a word" : "");
        pools[0].intern(text);
        if (i % 3 == 0)
            pools[1].intern(text);
        if (i % 100 == 0)
            pools[2].intern(text + "'");
    }
    const std::array<const TextPool*, 3> all = {&pools[0], &pools[1], &pools[2]};
    std::vector<std::vector<thresh::TextId>> expected_ids, ids;
    const TextPool expected = TextPool::merge(all, 1, expected_ids);
    REQUIRE(expected.size() == 30300);
    for (const unsigned threads : {2U, 5U}) {
        const TextPool merged = TextPool::merge(all, threads, ids);
        REQUIRE(merged.size() == expected.size());
        for (thresh::TextId id = 0; id < merged.size(); ++id)
            REQUIRE(merged[id] == expected[id]);
        CHECK(ids == expected_ids);
    }
}

TEST_CASE("a merged pool finds its texts by halves, and by slots once made ready, texts added later too") {
    TextPool one, other;
    for (const char* text : {"b", "", "a-rather-long-identifier-beyond-one-head", "d"})
        one.intern(text);
    for (const char* text : {"c", "b", "e"})
        other.intern(text);
    const std::array<const TextPool*, 2> pools{&one, &other};
    std::vector<std::vector<TextId>> ids;
    TextPool merged = TextPool::merge(pools, 1, ids);
    const auto check = [&] {
        for (TextId id = 0; id < merged.size(); ++id)
            CHECK(merged.find(merged[id]) == id);
        for (const char* text : {"A", "bb", "f", "a-rather-long"})
            CHECK(merged.find(text) == kNoText);
    };
    REQUIRE(merged.size() == 6);
    check();
    merged.ready_to_find();
    check();
    TextPool fresh = TextPool::merge(pools, 1, ids);
    CHECK(fresh.intern("b") == fresh.find("b"));
    CHECK(fresh.intern("A") == 6); // ids of texts added later follow arrival
    CHECK(fresh.find("A") == 6);
    CHECK(TextPool().find("a") == kNoText);
}

namespace {

// Merges the texts dealt out over three pools, some to two, and compares with sorting them.
void check_merge(const std::vector<std::string>& texts) {
    std::array<TextPool, 3> pools;
    for (std::size_t i = 0; i < texts.size(); ++i) {
        pools[i % 3].intern(texts[i]);
        if (i % 4 == 0)
            pools[(i + 1) % 3].intern(texts[i]);
    }
    const std::array<const TextPool*, 3> all = {&pools[0], &pools[1], &pools[2]};
    std::vector<std::string> expected = texts;
    std::sort(expected.begin(), expected.end());
    expected.erase(std::unique(expected.begin(), expected.end()), expected.end());
    for (const unsigned threads : {1U, 3U}) {
        std::vector<std::vector<TextId>> ids;
        const TextPool merged = TextPool::merge(all, threads, ids);
        REQUIRE(merged.size() == expected.size());
        std::size_t wrong = 0;
        for (TextId id = 0; id < merged.size(); ++id)
            wrong += merged[id] != expected[id];
        for (std::size_t p = 0; p < pools.size(); ++p)
            for (TextId id = 0; id < pools[p].size(); ++id)
                wrong += merged[ids[p][id]] != pools[p][id];
        CHECK(wrong == 0);
    }
}

std::vector<std::string> made(std::size_t count, const std::function<std::string(std::uint64_t)>& make) {
    std::vector<std::string> texts;
    std::uint64_t state = 1;
    for (std::size_t i = 0; i < count; ++i) {
        state = state * 6364136223846793005U + 1442695040888963407U;
        texts.push_back(make(state >> 33));
    }
    return texts;
}

} // namespace

TEST_CASE("texts of every kind of beginning, length and byte merge into the order of their bytes") {
    const auto number = [](std::uint64_t n) { return std::to_string(n % 50000); };
    SECTION("short IDs that differ in few bits") {
        check_merge(made(30000, [&](std::uint64_t n) { return "T0-" + number(n); }));
    }
    SECTION("more bits vary than a key holds") {
        check_merge(made(30000, [](std::uint64_t n) {
            std::string text;
            for (std::uint64_t rest = n * 0x9e3779b97f4a7c15U; rest > 0; rest /= 3)
                text += static_cast<char>(rest % 3 == 0 ? 'a' : rest % 253);
            return text.substr(0, n % 31);
        }));
    }
    SECTION("keys alike, texts no longer than a head") {
        check_merge(made(
            30000, [&](std::uint64_t n) { return std::string(8, n % 2 == 0 ? '\0' : '\xff') + number(n); }));
    }
    SECTION("keys alike, texts longer than a head") {
        check_merge(made(30000, [&](std::uint64_t n) {
            return std::string(n % 2, 'x') + std::string(40, 'y') + number(n);
        }));
    }
    SECTION("a long beginning that all share, one of them nothing else") {
        auto texts =
            made(30000, [&](std::uint64_t n) { return "https://seed.example/2026/plots/" + number(n); });
        texts.push_back("https://seed.example/2026/plots/");
        check_merge(texts);
    }
    SECTION("one ID unlike all others") {
        auto texts = made(30000, [&](std::uint64_t n) { return number(n % 100); });
        texts.push_back("\xff\xff\xff\xff\xff\xff\xff\xff");
        check_merge(texts);
    }
    SECTION("bytes that are zero, and nothing at all") {
        check_merge(made(20000, [](std::uint64_t n) { return std::string(n % 27, '\0') + char(n % 2); }));
        check_merge({"", "a", std::string(23, '\0'), std::string(24, '\0'), std::string(1, '\0')});
    }
    SECTION("one text") {
        check_merge({"a"});
    }
}

TEST_CASE("a pool that is given room ahead holds and takes the same texts") {
    for (const std::size_t room : {std::size_t{0}, std::size_t{50}, std::size_t{300}, std::size_t{100000}})
        for (const int before : {0, 1, 200}) {
            TextPool pool, other;
            const auto text = [](int i) { return "sample " + std::to_string(i * i); };
            for (int i = 0; i < before; ++i)
                CHECK(pool.intern(text(i)) == other.intern(text(i)));
            pool.reserve(room);
            for (int i = 0; i < 1000; ++i)
                CHECK(pool.intern(text(i)) == other.intern(text(i)));
            REQUIRE(pool.size() == other.size());
            for (TextId id = 0; id < pool.size(); ++id)
                CHECK(pool[id] == other[id]);
            CHECK(pool.find("sample") == kNoText);
        }
}
