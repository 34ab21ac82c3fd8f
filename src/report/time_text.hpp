// Times of a table come many a day: the date is spelled once.
#pragma once

#include "report/text_cells.hpp"

#include <cstring>

namespace thresh::report {

class TimeText {
  public:
    // Bytes from `at` on that put() may write to.
    static constexpr std::size_t kRoom = 20;

    // Writes what append_time appends and returns the end; nullptr for a time outside the years 0 to 9999.
    char* put(char* at, Time value) {
        if (value.missing())
            return at;
        constexpr std::int64_t kDay = 86400;
        const std::int64_t seconds = value.seconds();
        const std::int64_t day = (seconds >= 0 ? seconds : seconds - (kDay - 1)) / kDay;
        if (day != day_ && !spell_date(day))
            return nullptr;
        const auto of_day = static_cast<std::uint32_t>(seconds - day * kDay);
        std::memcpy(at, date_, kDate);
        put_pair(at + 11, of_day / 3600);
        at[13] = ':';
        put_pair(at + 14, of_day / 60 % 60);
        at[16] = ':';
        put_pair(at + 17, of_day % 60);
        constexpr std::uint8_t kLengths[] = {0, 10, 16, 19};
        return at + kLengths[static_cast<std::size_t>(value.precision())];
    }

  private:
    static constexpr std::size_t kDate = 11; // with the T
    static void put_pair(char* at, std::uint32_t value) {
        at[0] = static_cast<char>('0' + value / 10);
        at[1] = static_cast<char>('0' + value % 10);
    }
    bool spell_date(std::int64_t day);

    std::int64_t day_ = INT64_MIN; // whose date is spelled
    char date_[kDate] = {};
};

} // namespace thresh::report
