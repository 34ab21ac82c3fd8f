# save_excel_writer.pl CELLS BOOK: saves the cells with Excel::Writer::XLSX.
use strict;
use warnings;
use Excel::Writer::XLSX;

my ($cells, $path) = @ARGV;
open(my $in, '<:encoding(UTF-8)', $cells) or die "$cells: $!";
my $book = Excel::Writer::XLSX->new($path) or die "$path: $!";
my $sheet = $book->add_worksheet('Week 32');
my $moment = $book->add_format(num_format => 22);
my $percent = $book->add_format(num_format => 10);
while (my $line = <$in>) {
    chomp $line;
    my $column = -1;
    for my $field (split /\t/, $line, -1) {
        ++$column;
        my ($kind, $content) = $field =~ /^(\w):(.*)$/ or next;
        $sheet->write_string($. - 1, $column, $content) if $kind eq 't';
        $sheet->write_number($. - 1, $column, $content) if $kind eq 'n';
        $sheet->write_number($. - 1, $column, $content, $moment) if $kind eq 'd';
        $sheet->write_number($. - 1, $column, $content, $percent) if $kind eq 'p';
    }
}
$book->close() or die "$path: $!";
