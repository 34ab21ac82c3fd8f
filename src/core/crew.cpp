#include <thresh/core/crew.hpp>

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <stop_token>
#include <thread>
#include <vector>

namespace thresh {

namespace {

// Work that more threads may join, until its owner takes it back.
struct Job {
    const std::function<void(std::size_t)>& run;
    std::size_t wanted;               // threads beside the owner
    bool is_long;                     // not for those that wait
    std::size_t begun = 0, ended = 0; // of those
};

class Crew {
  public:
    static Crew& of_program() {
        static Crew crew;
        return crew;
    }

    void offer(Job& job) {
        const std::scoped_lock lock(mutex_);
        while (threads_.size() < job.wanted)
            threads_.emplace_back([this](const std::stop_token& stop) { serve(stop); });
        jobs_.push_back(&job);
        changed_.notify_all();
    }
    // No one begins any more when this returns, and all that began have ended. Meanwhile this thread helps
    // others: those that it waits for may have offered work of their own.
    void take_back(Job& job) {
        std::unique_lock lock(mutex_);
        std::erase(jobs_, &job);
        while (job.ended != job.begun) {
            const auto short_one = std::ranges::find(jobs_, false, &Job::is_long);
            if (short_one != jobs_.end())
                join(**short_one, lock);
            else
                changed_.wait(lock);
        }
    }

  private:
    void serve(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        while (changed_.wait(lock, stop, [this] { return !jobs_.empty(); }))
            join(*jobs_.front(), lock);
    }
    // Precondition: the job is among jobs_.
    void join(Job& job, std::unique_lock<std::mutex>& lock) {
        const std::size_t number = ++job.begun;
        if (job.begun == job.wanted)
            std::erase(jobs_, &job);
        lock.unlock();
        [&]() noexcept { job.run(number); }();
        lock.lock();
        if (++job.ended == job.begun)
            changed_.notify_all();
    }

    std::mutex mutex_;
    std::condition_variable_any changed_; // a job was offered, or all that had begun one have ended
    std::vector<Job*> jobs_;              // those that want more threads, first come first served
    std::vector<std::jthread> threads_;   // last: they use the others
};

void share(std::size_t others, bool is_long, const std::function<void(std::size_t)>& run) {
    if (others == 0) {
        run(0);
        return;
    }
    Job job{run, others, is_long};
    Crew& crew = Crew::of_program();
    crew.offer(job);
    struct TakeBack { // also when run(0) throws
        Crew& crew;
        Job& job;
        ~TakeBack() { crew.take_back(job); }
    } const take_back{crew, job};
    run(0);
}

} // namespace

void share_work(std::size_t others, const std::function<void(std::size_t)>& run) {
    share(others, false, run);
}
void share_long_work(std::size_t others, const std::function<void(std::size_t)>& run) {
    share(others, true, run);
}

} // namespace thresh
