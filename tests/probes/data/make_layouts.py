#!/usr/bin/env python3
"""Write the scope files of the layout tests: invented signals in the layouts that instruments use.

Python 3, nothing else. Run in this folder; the files are kept in the repository, so that the tests
do not need Python. Channel 1 is 3.2 sin(x + 0.3) + 0.1, channel 2 -1.5 cos(x), rounded to the
screen's levels (0.08 and 0.04), with x = 2 pi row / 23.
"""
import math
import struct

ROWS = 60


def ch1(i):
    return round((3.2 * math.sin(2 * math.pi * i / 23 + 0.3) + 0.1) / 0.08) * 0.08


def ch2(i):
    return round(-1.5 * math.cos(2 * math.pi * i / 23) / 0.04) * 0.04


def save(name, text, encoding="utf-8", end="\n"):
    with open(name, "wb") as out:
        out.write(text.replace("\n", end).encode(encoding))


def table(row, rows=ROWS):
    return "".join(row(i) + "\n" for i in range(rows))


def f32(x):
    return struct.unpack("f", struct.pack("f", x))[0]


save("index_start_increment.csv",
     "X,CH1,CH2,Start,Increment,\nSequence,Volt,Volt,-6.000000e-03,2.000000e-04\n"
     + table(lambda i: f"{i},{ch1(i):.2e},{ch2(i):.2e},"), end="\r\n")
save("start_increment_bare.csv",
     "CH1,CH3,Start,Increment,\nVolt,Volt,-1.50000e-03,5.00000e-05\n"
     + table(lambda i: f"{ch1(i):.2e},{ch2(i):.2e},"))
save("quoted_header_block.csv",
     '"Points =",60,\n"Time Scale (s/DIV) =",1E-2,\n"Sampling Frequency (Hz)=",25000,\n'
     '"Channel Data","CH 1","CH 2"\n"Attenuation = ",10,1\n"Pos (V) = ",0.2,-6\n'
     '"Inverted = ","NO","NO"\n"Time (s)","Voltage (V)","Voltage (V)"\n'
     + table(lambda i: f"{i * 4e-5:.5G},{ch1(i):.2f},{ch2(i):.2f}") + ",,\n")
save("unit_in_name_rounded_times.csv",
     "X,CH 1 (V),CH 2 (V)\n"
     + table(lambda i: f"{-0.002 + i * 3.0303e-5:.5f},{ch1(i):.2f},{ch2(i):.2f}"))
save("bare_values.csv", table(lambda i: f"{ch1(i):.6g}"), end="\r\n")
save("comment_preamble_math.csv",
     ";Exported on,a Tuesday\n;Nr of samples,60\n;Sample rate,5e+04\n;Tool,Oscilloscope\n"
     "Sample,Time(S),CH1(V),CH2(V),M1(V)\n"
     + table(lambda i: f"{i},{-0.0006 + i * 2e-5:.6g},{ch1(i):.6g},{ch2(i):.6g},"
             f"{ch1(i) - ch2(i):.6g}"))
save("brackets_blank_row_ms.csv",
     "Frequency,Channel A,Channel B\n(ms),(V),(V)\n\n"
     + table(lambda i: f"{-1 + i * 0.04096:.8f},{ch1(i):.8f},{ch2(i):.8f}"), end="\r\n")
KEYS = ["Record Length,6.000000e+01", "Sample Interval,1.000000e-04", "Trigger Point,3.0e+01", ",",
        "Source,CH2", "Vertical Units,V", "Vertical Scale,5.000000e-01", "Horizontal Units,s",
        "Probe Atten,1.000000e+00"]
save("keys_beside_values.csv",
     table(lambda i: f"{KEYS[i] if i < len(KEYS) else ','},,{-0.003 + i * 1e-4:18.12f},"
           f"{ch1(i):10.5f},"))
save("in_s_in_v.csv",
     "in s,C1 in V\n" + table(lambda i: f"{-0.3 + i * 4.584e-6:.7E},{ch1(i):.7E}"))
save("index_from_minus_thirty.csv",
     "X,CH1,Start,Increment,\nSequence,Volt,-3.000000e-03,1.000000e-04\n"
     + table(lambda i: f"{i - 30},{ch1(i):.2e},"))
save("nameless_first_column.csv",
     ",CH1,CH2,\n" + table(lambda i: f"{i * 0.0005:.6f},{ch1(i):.3f},{ch2(i):.3f},,"))
save("no_header_time_two_channels.csv",
     table(lambda i: f"{-0.01 + i * 0.00025:.6f},{ch1(i):.3f},{ch2(i):.3f}"))
save("tabs_other_language.txt",
     "Zeit\tKanal A\tKanal B\n(ms)\t(V)\t(mV)\n\n"
     + table(lambda i: f"{i * 0.2:.5f}\t{ch1(i):.5f}\t{1000 * ch2(i):.3f}"))
save("quoted_ms_exponent.csv",
     '"Time (ms)","Channel 1 (V)"\n' + table(lambda i: f"{i * 0.5:.1f}E0,{ch1(i) * 10:.2f}E-1"))
save("semicolons_decimal_comma_infinity.csv",
     "Time;Channel A;Channel B\n(ms);(V);(V)\n;;\n"
     + table(lambda i: f"{-3 + i * 0.1:.6f};"
             f"{chr(0x221e) if ch1(i) > 3.2 else '-' + chr(0x221e) if ch1(i) < -3 else format(ch1(i), '.6f')};"
             f"{ch2(i):.6f}".replace(".", ",")))
save("byte_order_mark.csv",
     "\ufefftime,ch_a,ch_b\ns,V,V\n"
     + table(lambda i: f"{i * 0.0002:.4f},{ch1(i):.2f},{ch2(i):.2f}"))
save("label_values_interval_us.csv",
     "Record Length,Analog:60\nSample Interval,Analog:40.0\nVertical Units,CH1:V\n"
     "Vertical Scale,CH1:1.00\nHorizontal Units,S\nSecond,Volt\n"
     + table(lambda i: f"{-0.0012 + i * 4e-5:.9f},{ch1(i):.5f}"))
save("waveform_data_row.csv",
     "Format,2.0B\nMemory Length,60\nTrigger Level,1.000E-01\nSource,CH1\nVertical Units,V\n"
     "Vertical Scale,1.000E+00\nHorizontal Units,S\nSampling Period,4.000E-05\nProbe,1.0E+00\n"
     "Waveform Data,\n" + table(lambda i: f"{ch1(i):.3E},"))
save("tab_padded_keys_mv.txt",
     "Channel        :\tCH1\nFrequency      :\tF=108.7Hz\nTime base      :\t5.000ms\n"
     "Sampling period:\t\t0.40uS\nVoltage per ADC value:\t80.00mV\n\nNo.\t\tCH1(mV)\n"
     + table(lambda i: f"{i + 1}\t\t{1000 * ch1(i):.2f}"))
save("pairs_side_by_side.csv",
     "time,CH1,,time,CH2\n"
     + table(lambda i: f"{i * 1e-4:.6f},{ch1(i):.3f},,{i * 1e-4:.6f},{ch2(i):.3f}"))
save("float32_times.csv",
     "time,volts\n" + table(lambda i: f"{f32(8 + i * 1e-5):.9f},{ch1(i):.4f}", 400))
save("coarse_times.csv",
     "Sample Interval,4.000000e-05\nRecord Length,400\nSource,CH1\nTIME,CH1\n"
     + table(lambda i: f"{i * 4e-5:.4f},{ch1(i):.3f}", 400))
save("bracketed_sections.csv",
     "[General]\nDevice=bench logger\nSampleRate=12500\n[Channels]\nCH1=V\n[Data]\nA,B\n"
     + table(lambda i: f"{ch1(i):.3f},{ch2(i):.3f}"))
ZERO = "timestamp_us;counter;overflow\n" + table(
    lambda i: f"{i * 8333 + (i * i) % 97};{(i * 8333) % 65536};{i * 8333 // 65536}")
save("zero_crossing_log.csv", ZERO.replace("\n83", "\n8;;3", 1))
save("utf16.csv", "\ufeffTime (\u00b5s),Ch 1 (V)\n" + table(lambda i: f"{i * 20},{ch1(i):.3f}"),
     "utf-16-le", "\r\n")
save("return_only_ends.csv", "t,v\n" + table(lambda i: f"{i * 0.001:.3f},{ch1(i):.3f}"), end="\r")
save("spaces.txt", "# time/s  volts/V\n" + table(lambda i: f"  {i * 0.001:.3f}   {ch1(i):7.3f}"))
save("one_column_decimal_comma.csv",
     "Sample rate: 8 kHz\nU [mV]\n" + table(lambda i: f"{1000 * ch2(i):.2f}".replace(".", ",")))
save("quoted_decimal_comma.csv",
     'Zeit [s],U1 [V]\n' + table(lambda i: f'"{i * 0.002:.4f}","{ch1(i):.3f}"'.replace(".", ",")))
