// Writes HTML that is also well-formed XML. Names of elements and attributes are literals of the source; all
// else is text and is escaped; ready markup is taken from the plot library alone. So no text of an export can
// become markup, whoever uses this.
#pragma once

#include <thresh/plot/barcode.hpp>
#include <thresh/plot/figure.hpp>

#include <initializer_list>
#include <string>
#include <string_view>

namespace thresh::report {

// A text of the source code: known when the program is compiled.
class Literal {
  public:
    consteval Literal(const char* text) : text_(text) {}
    constexpr std::string_view text() const { return text_; }

  private:
    std::string_view text_;
};

class Html {
  public:
    struct Attribute {
        Literal name;
        std::string_view value;
    };
    using Attributes = std::initializer_list<Attribute>;

    // Closes its element when it goes out of scope.
    class [[nodiscard]] Element {
      public:
        Element(Html& html, Literal tag) : html_(&html), tag_(tag) {}
        Element(Element&& other) noexcept : html_(other.html_), tag_(other.tag_) { other.html_ = nullptr; }
        Element& operator=(Element&&) = delete;
        ~Element() {
            if (html_ != nullptr)
                html_->close(tag_);
        }

      private:
        Html* html_;
        Literal tag_;
    };

    Element open(Literal tag, Attributes attributes = {});
    void element(Literal tag, std::string_view text) { element(tag, {}, text); }
    void element(Literal tag, Attributes attributes, std::string_view text);
    // An element without content: `<input .../>`.
    void empty(Literal tag, Attributes attributes);
    void text(std::string_view text);
    // Text of several lines, kept as lines (for <pre>).
    void lines(std::string_view text);
    // Text of an export: its direction does not run into what stands around it.
    void name(std::string_view text);
    // A sentence of ours, read from left to right; a name between backquotes in it that is
    // not ASCII keeps its direction to itself.
    void sentence(std::string_view text);

    void markup(const plot::Figure& figure) { into_ += figure.svg; }
    void markup(const plot::Barcode& barcode) { into_ += barcode.svg; }
    // The content of <style> and <script>: literals and the plot library's own.
    void source(Literal text) { into_ += text.text(); }
    void plot_styles() { into_ += plot::style_sheet(); }
    void line() { into_ += '\n'; }

    std::size_t size() const { return into_.size(); }
    const std::string& bytes() const { return into_; }

  private:
    void close(Literal tag);
    void begin(Literal tag, Attributes attributes);

    std::string into_;
};

// Escaped for text and for attributes in double quotes: & < > " '. Control characters, noncharacters and
// bytes that are no UTF-8 become U+FFFD, direction marks are left out.
std::string escaped(std::string_view text);

} // namespace thresh::report
